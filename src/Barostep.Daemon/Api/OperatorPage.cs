using System.Reflection;
using System.Security.Cryptography;
using Barostep.Daemon.Access;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Net.Http.Headers;

namespace Barostep.Daemon.Api;

/// <summary>The operator page: files that lie in the program itself, so that no path leads to anything else.</summary>
internal static class OperatorPage
{
    private const string Prefix = "page/";

    public static void Map(IEndpointRouteBuilder app)
    {
        Assembly program = typeof(OperatorPage).Assembly;
        foreach (string resource in program.GetManifestResourceNames().Where(name => name.StartsWith(Prefix, StringComparison.Ordinal)))
        {
            string path = resource[Prefix.Length..];
            if (TypeOf(path) is not { } type)
                continue;
            using Stream stream = program.GetManifestResourceStream(resource)!;
            using var buffer = new MemoryStream();
            stream.CopyTo(buffer);
            byte[] bytes = buffer.ToArray();
            string tag = $"\"{Convert.ToHexStringLower(SHA256.HashData(bytes).AsSpan(0, 8))}\"";
            app.MapGet(path == "index.html" ? "/" : $"/{path}", (HttpContext http) => SendAsync(http, bytes, type, tag)).ForAllEyes().ExcludeFromDescription();
        }
    }

    private static async Task SendAsync(HttpContext http, byte[] bytes, string type, string tag)
    {
        // Asked for anew each time, so that an upgraded daemon never meets yesterday's page; unchanged, it costs nothing.
        http.Response.Headers.CacheControl = "no-cache";
        http.Response.Headers.ETag = tag;
        if (http.Request.Headers.IfNoneMatch.ToString() == tag)
        {
            http.Response.StatusCode = StatusCodes.Status304NotModified;
            return;
        }

        http.Response.ContentType = type;
        http.Response.Headers[HeaderNames.ContentLength] = bytes.Length.ToString(System.Globalization.CultureInfo.InvariantCulture);
        await http.Response.Body.WriteAsync(bytes, http.RequestAborted);
    }

    private static string? TypeOf(string path) => Path.GetExtension(path) switch
    {
        ".html" => "text/html; charset=utf-8",
        ".js" => "text/javascript; charset=utf-8",
        ".css" => "text/css; charset=utf-8",
        ".svg" => "image/svg+xml",
        _ => null,
    };
}
