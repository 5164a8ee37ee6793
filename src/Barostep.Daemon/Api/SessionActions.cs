using Barostep.Daemon.Access;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Barostep.Daemon.Api;

/// <summary>Signs a browser in.</summary>
/// <param name="Token">As "barostep tokens add" printed it.</param>
internal sealed record SignInRequest(string Token);

/// <summary>Who asks, as the daemon knows them.</summary>
/// <param name="Name">The token's; null at this machine, where people give their name with what they ask.</param>
/// <param name="Role">Null where nothing is allowed but stopping.</param>
/// <param name="NeedsToken">Whether this came from the network and nobody has signed in.</param>
/// <param name="Benches">Names of the benches, which stopping needs.</param>
internal sealed record SessionView(string? Name, AccessRole? Role, bool NeedsToken, IReadOnlyList<string> Benches);

/// <summary>Signing a browser in and out: its cookie stands for the token, which the page then forgets.</summary>
internal static class SessionActions
{
    public static void Map(IEndpointRouteBuilder api, ApiContext context)
    {
        RouteGroupBuilder session = api.MapGroup("/session").WithTags("session");
        session.MapGet("/", (HttpContext http) => Of(Caller.Of(http), context))
            .ForAllEyes().WithName("getSession").WithSummary("Who asks, what they may, and the names that stopping needs.");
        session.MapPost("/", (SignInRequest request, HttpContext http) => SignIn(context, request, http))
            .ForAllEyes().WithName("signIn").WithSummary("Takes a token and sets a cookie in its place, over TLS only.")
            .Produces<SessionView>().ProducesProblem(400).ProducesProblem(401).ProducesProblem(409);
        session.MapDelete("/", (HttpContext http) => SignOut(context, http))
            .ForAllEyes().WithName("signOut").WithSummary("Forgets the cookie.").Produces(204);
    }

    private static SessionView Of(Caller caller, ApiContext context) => new(
        caller.Token?.Name,
        caller.Token?.Role ?? (caller.FromNetwork ? null : AccessRole.Limits),
        caller is { FromNetwork: true, Token: null },
        [.. context.Boards.Keys.Order(StringComparer.Ordinal)]);

    private static Ok<SessionView> SignIn(ApiContext context, SignInRequest request, HttpContext http)
    {
        if (!http.Request.IsHttps)
            throw new RefusedException("at this machine nobody signs in");
        AccessToken token = context.Access.Find(request.Token.Trim())
            ?? throw new ProblemException(StatusCodes.Status401Unauthorized, "No such token", "It was mistyped or removed; barostep tokens list shows the names of those that there are.");
        http.Response.Cookies.Append(AccessGate.Cookie, context.Access.Sessions.Open(token), Options(Sessions.Longest));
        var caller = new Caller(token, fromNetwork: true);
        http.Features.Set(caller);
        return TypedResults.Ok(Of(caller, context));
    }

    private static NoContent SignOut(ApiContext context, HttpContext http)
    {
        if (http.Request.Cookies[AccessGate.Cookie] is { } session)
            context.Access.Sessions.Close(session);
        http.Response.Cookies.Delete(AccessGate.Cookie, Options(null));
        return TypedResults.NoContent();
    }

    private static CookieOptions Options(TimeSpan? age) => new()
    {
        HttpOnly = true,
        Secure = true,
        SameSite = SameSiteMode.Strict,
        Path = "/",
        MaxAge = age,
    };
}
