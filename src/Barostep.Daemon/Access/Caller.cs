using Barostep.Daemon.Api;
using Microsoft.AspNetCore.Http;

namespace Barostep.Daemon.Access;

/// <summary>Who asks.</summary>
/// <param name="token">What they showed; null where they showed none.</param>
/// <param name="fromNetwork">Whether they come from elsewhere than this machine.</param>
internal sealed class Caller(AccessToken? token, bool fromNetwork)
{
    public AccessToken? Token => token;

    public bool FromNetwork => fromNetwork;

    /// <summary>The name under which this is done; null until somebody asked for one, where no token tells it.</summary>
    public string? Name { get; private set; } = token?.Name;

    public static Caller Of(HttpContext http) => http.Features.Get<Caller>()
        ?? throw new InvalidOperationException("a request came past the gate without a caller");

    /// <summary>Whether the caller may do what a role allows: at this machine everybody may.</summary>
    public bool May(AccessRole? role) => role is not { } needed || (token is null ? !fromNetwork : token.Role >= needed);

    /// <summary>The name that goes into the journal: the token's, which is proved, or the one that the request gives.</summary>
    /// <exception cref="ProblemException">Neither is there.</exception>
    public string Who(string? written) => Name = token?.Name ?? Identifiers.Person(written ?? string.Empty);
}
