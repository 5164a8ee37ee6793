using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;

namespace Barostep.Daemon.Access;

/// <summary>How an endpoint says what it needs from callers of the network; one that says nothing needs the role watch.</summary>
internal static class EndpointRoles
{
    public static TBuilder Needs<TBuilder>(this TBuilder endpoint, AccessRole role)
        where TBuilder : IEndpointConventionBuilder
    {
        endpoint.WithMetadata(new NeedsRole(role), Refusal(StatusCodes.Status401Unauthorized), Refusal(StatusCodes.Status403Forbidden));
        return endpoint;
    }

    /// <summary>For stopping: no token, and no count of how often it was asked for.</summary>
    public static TBuilder ForEverybody<TBuilder>(this TBuilder endpoint)
        where TBuilder : IEndpointConventionBuilder => endpoint.WithMetadata(new NeedsRole(null)).DisableRateLimiting();

    /// <summary>For what holds nothing of anybody's: the page before a sign-in.</summary>
    public static TBuilder ForAllEyes<TBuilder>(this TBuilder endpoint)
        where TBuilder : IEndpointConventionBuilder => endpoint.WithMetadata(new NeedsRole(null));

    private static ProducesResponseTypeMetadata Refusal(int status) => new(status, typeof(Microsoft.AspNetCore.Mvc.ProblemDetails), [Api.Problems.ContentType]);
}
