using System.Net;
using Microsoft.AspNetCore.Http;
using Microsoft.Net.Http.Headers;

namespace Barostep.Daemon.Api;

/// <summary>
/// Lets in only what a person at this machine can have meant: a web page elsewhere can make a browser send requests here,
/// by its own name (DNS rebinding) or by a form, and must neither read nor change anything.
/// </summary>
internal static class RequestGate
{
    /// <summary>No request has more to say.</summary>
    public const int LongestBody = 64 * 1024;

    private const string Policy =
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

    /// <param name="networkNames">What this machine is called by those who come from the network.</param>
    public static Task CheckAsync(HttpContext context, RequestDelegate next, IReadOnlyList<string> networkNames)
    {
        SetHeaders(context.Response.Headers);
        if (!(context.Request.IsHttps ? IsNetworkName(context, networkNames) : IsOurName(context)))
        {
            return Problems.WriteAsync(
                context,
                StatusCodes.Status421MisdirectedRequest,
                "Wrong host",
                context.Request.IsHttps
                    ? "This program answers to its address and to the names that [network] of barostep.toml gives it; open the page by one of these."
                    : "This program answers to localhost, 127.0.0.1 and [::1] with its own port only; open the page by one of these.");
        }

        if (IsRead(context.Request) || context.Request.Method == HttpMethods.Options)
            return next(context);
        if (!IsFromOurPage(context.Request))
        {
            return Problems.WriteAsync(
                context, StatusCodes.Status403Forbidden, "Foreign origin", "A page of another origin may not ask this program for anything.");
        }

        bool isVent = context.Request.Path.Value?.EndsWith("/vent", StringComparison.Ordinal) == true;
        return isVent || !HasBody(context.Request) || context.Request.HasJsonContentType()
            ? next(context)
            : Problems.WriteAsync(
                context, StatusCodes.Status415UnsupportedMediaType, "Not JSON", "Send the body with Content-Type: application/json.");
    }

    private static bool IsRead(HttpRequest request) => HttpMethods.IsGet(request.Method) || HttpMethods.IsHead(request.Method);

    private static bool HasBody(HttpRequest request) => request.ContentLength is > 0 || request.Headers.TransferEncoding.Count > 0;

    private static bool IsOurName(HttpContext context)
    {
        HostString host = context.Request.Host;
        bool isName = host.HasValue && host.Host is ("localhost" or "127.0.0.1" or "[::1]");
        return isName
            && (host.Port ?? 80) == context.Connection.LocalPort
            && context.Connection.LocalIpAddress is { } address
            && IPAddress.IsLoopback(address);
    }

    /// <summary>A name that nobody gave this machine may be one that a page made to lead here.</summary>
    private static bool IsNetworkName(HttpContext context, IReadOnlyList<string> names)
    {
        HostString host = context.Request.Host;
        bool isAddress = context.Connection.LocalIpAddress is { } local
            && IPAddress.TryParse(host.Host.Trim('[', ']'), out IPAddress? address)
            && address.Equals(local.IsIPv4MappedToIPv6 ? local.MapToIPv4() : local);
        return (host.Port ?? 443) == context.Connection.LocalPort && (isAddress || names.Contains(host.Host, StringComparer.OrdinalIgnoreCase));
    }

    private static bool IsFromOurPage(HttpRequest request)
    {
        string origin = request.Headers.Origin.ToString();
        if (origin.Length > 0 && origin != $"{request.Scheme}://{request.Host}")
            return false;
        return request.Headers["Sec-Fetch-Site"].ToString() is "" or "same-origin" or "none";
    }

    private static void SetHeaders(IHeaderDictionary headers)
    {
        headers[HeaderNames.ContentSecurityPolicy] = Policy;
        headers[HeaderNames.XContentTypeOptions] = "nosniff";
        headers[HeaderNames.XFrameOptions] = "DENY";
        headers["Referrer-Policy"] = "no-referrer";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers[HeaderNames.CacheControl] = "no-store";
    }
}
