using System.Net;
using System.Net.Sockets;
using Barostep.Daemon.Api.Metrics;
using Barostep.Daemon.Live;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.OpenApi;

namespace Barostep.Daemon.Api;

/// <summary>The daemon's HTTP: the operator page, the interface, health and metrics, on this machine only.</summary>
internal static class ApiServer
{
    private static readonly TimeSpan HeadersTime = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan IdleTime = TimeSpan.FromSeconds(30);

    /// <summary>Refuses before anything is opened: a daemon whose page cannot be reached helps nobody.</summary>
    /// <exception cref="RefusedException">Another program listens there.</exception>
    public static void DemandFree(int port)
    {
        try
        {
            using var probe = new TcpListener(IPAddress.Loopback, port);
            probe.Start();
        }
        catch (SocketException taken)
        {
            throw new RefusedException($"port {port} cannot be listened on: {taken.Message}. Choose another with --port, or 0 for any free one.");
        }
    }

    public static void Configure(WebApplicationBuilder builder, int port)
    {
        builder.WebHost.UseKestrelCore();
        builder.WebHost.ConfigureKestrel(kestrel => Limit(kestrel, port));
        builder.Services.AddRoutingCore();
        builder.Services.AddProblemDetails();
        builder.Services.ConfigureHttpJsonOptions(options => ApiJson.Set(options.SerializerOptions));
        builder.Services.Configure<RouteHandlerOptions>(options => options.ThrowOnBadRequest = true);
        builder.Services.AddOpenApi("v1", options =>
        {
            options.OpenApiVersion = OpenApiSpecVersion.OpenApi3_1;
            options.AddDocumentTransformer((document, _, _) =>
            {
                document.Info.Title = "Barostep";
                document.Info.Version = "1";
                document.Info.Description = "Benches, runs and records of one Barostep daemon. Pressures are in Pa absolute unless a name says otherwise. "
                    + "Stopping is always accepted. It is no emergency stop.";
                document.Servers?.Clear();
                return Task.CompletedTask;
            });
        });
    }

    public static void Map(WebApplication app, ApiContext context)
    {
        ILogger log = app.Services.GetRequiredService<ILoggerFactory>().CreateLogger("Barostep.Http");
        app.Use(next => http => Problems.CatchAsync(http, next, log));
        app.Use(next => http => RequestGate.CheckAsync(http, next));
        app.UseStatusCodePages();
        app.UseRouting();
        RouteGroupBuilder api = app.MapGroup("/api/v1");
        BenchReads.Map(api, context);
        BenchActions.Map(api, context);
        RecordReads.Map(api, context);
        Health.Map(app, context);
        app.MapGet("/metrics", () => TypedResults.Text(MetricsText.Of(context), MetricsText.ContentType))
            .WithTags("health").WithName("getMetrics").WithSummary("Metrics in the Prometheus text format.").Produces<string>(200, "text/plain");
        app.MapOpenApi("/openapi/{documentName}.json");
        OperatorPage.Map(app);
    }

    /// <summary>Where the server listens, as a person would open it.</summary>
    public static string AddressOf(WebApplication app) => app.Services.GetRequiredService<IServer>().Features
        .Get<IServerAddressesFeature>()!.Addresses.First();

    private static void Limit(KestrelServerOptions kestrel, int port)
    {
        kestrel.AddServerHeader = false;
        kestrel.Limits.MaxRequestBodySize = RequestGate.LongestBody;
        kestrel.Limits.RequestHeadersTimeout = HeadersTime;
        kestrel.Limits.KeepAliveTimeout = IdleTime;
        kestrel.Listen(IPAddress.Loopback, port, static options => options.Protocols = HttpProtocols.Http1);
    }
}
