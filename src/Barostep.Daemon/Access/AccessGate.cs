using Barostep.Daemon.Api;
using Microsoft.AspNetCore.Http;

namespace Barostep.Daemon.Access;

/// <summary>
/// Finds out who asks, and whether they may. At this machine everybody may, under the name they give; from the network
/// it takes a token, except for stopping. What speaks TLS is the network: the other listener is on the loopback address.
/// </summary>
internal static class AccessGate
{
    /// <summary>The prefix makes browsers demand that it came over TLS, for this host alone.</summary>
    public const string Cookie = "__Host-barostep";

    private const string Scheme = "Bearer ";

    public static Task CheckAsync(HttpContext http, RequestDelegate next, ApiContext context)
    {
        var caller = new Caller(TokenOf(http, context.Access, out bool refused), http.Request.IsHttps);
        http.Features.Set(caller);
        AccessRole? needed = http.GetEndpoint() is not { } endpoint ? null : endpoint.Metadata.GetMetadata<NeedsRole>() is { } said ? said.Role : AccessRole.Watch;
        // A script whose token was removed must learn that, and not go on as somebody at this machine.
        return needed is { } role && (refused || !caller.May(role)) ? RefuseAsync(http, caller, role) : next(http);
    }

    /// <param name="refused">Whether something was shown that is no token.</param>
    private static AccessToken? TokenOf(HttpContext http, AccessKeeper access, out bool refused)
    {
        string header = http.Request.Headers.Authorization.ToString();
        AccessToken? token = null;
        refused = false;
        if (header.Length > 0)
        {
            token = header.StartsWith(Scheme, StringComparison.OrdinalIgnoreCase) ? access.Find(header[Scheme.Length..].Trim()) : null;
            refused = token is null;
        }
        else if (http.Request.Cookies[Cookie] is { Length: > 0 } session)
        {
            token = access.OfSession(session);
        }

        return token;
    }

    private static Task RefuseAsync(HttpContext http, Caller caller, AccessRole needed)
    {
        if (caller.Token is { } token)
        {
            return Problems.WriteAsync(
                http, StatusCodes.Status403Forbidden, "Not allowed",
                $"This needs the role {Word(needed)}; the token '{token.Name}' has the role {Word(token.Role)}.");
        }

        http.Response.Headers.WWWAuthenticate = "Bearer";
        return Problems.WriteAsync(
            http, StatusCodes.Status401Unauthorized, "Who asks?",
            "From the network this needs a token: sign in on the page, or send Authorization: Bearer. A vent needs none.");
    }

    public static string Word(AccessRole role) => role.ToString().ToLowerInvariant();
}
