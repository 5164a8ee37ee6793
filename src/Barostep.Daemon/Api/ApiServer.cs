using System.Net;
using System.Net.Sockets;
using Barostep.Configuration;
using Barostep.Daemon.Access;
using Barostep.Daemon.Api.Metrics;
using Barostep.Daemon.Live;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.AspNetCore.Server.Kestrel.Https;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.OpenApi;

namespace Barostep.Daemon.Api;

/// <summary>Where the daemon listens: always on the loopback address, and on one of the network where it is told to.</summary>
/// <param name="Port">Of the loopback address; 0 for any free one.</param>
/// <param name="Network">Null for nowhere else.</param>
/// <param name="Certificate">Shown there; null where <paramref name="Network"/> is.</param>
internal sealed record Doors(int Port, NetworkListener? Network, ServerCertificate? Certificate);

/// <summary>The daemon's HTTP: the operator page, the interface, health and metrics.</summary>
internal static class ApiServer
{
    private static readonly TimeSpan HeadersTime = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan IdleTime = TimeSpan.FromSeconds(30);

    /// <summary>Refuses before anything is opened: a daemon whose page cannot be reached helps nobody.</summary>
    /// <exception cref="RefusedException">Another program listens there.</exception>
    public static void DemandFree(Doors doors)
    {
        Demand(IPAddress.Loopback, doors.Port, "Choose another with --port, or 0 for any free one.");
        if (doors.Network is { } network)
            Demand(network.Address, network.Port, "Write another address or port in [network] of barostep.toml.");
    }

    private static void Demand(IPAddress address, int port, string instead)
    {
        try
        {
            using var probe = new TcpListener(address, port);
            probe.Start();
        }
        catch (SocketException taken)
        {
            throw new RefusedException($"{address} port {port} cannot be listened on: {taken.Message}. {instead}");
        }
    }

    public static void Configure(WebApplicationBuilder builder, Doors doors)
    {
        builder.WebHost.UseKestrelCore().UseKestrelHttpsConfiguration();
        builder.WebHost.ConfigureKestrel(kestrel => Limit(kestrel, doors));
        builder.Services.AddRateLimiter(RequestRates.Set);
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

    public static void Map(WebApplication app, ApiContext context, IReadOnlyList<string> networkNames)
    {
        ILogger log = app.Services.GetRequiredService<ILoggerFactory>().CreateLogger("Barostep.Http");
        app.Use(next => http => context.Actions.NoteAsync(http, next));
        app.Use(next => http => Problems.CatchAsync(http, next, log));
        app.Use(next => http => RequestGate.CheckAsync(http, next, networkNames));
        app.UseStatusCodePages();
        app.UseRouting();
        app.UseRateLimiter();
        app.Use(next => http => AccessGate.CheckAsync(http, next, context));
        RouteGroupBuilder api = app.MapGroup("/api/v1");
        BenchReads.Map(api, context);
        BenchActions.Map(api, context);
        RecordReads.Map(api, context);
        SessionActions.Map(api, context);
        QueueActions.Map(api, context);
        Health.Map(app, context);
        app.MapGet("/metrics", () => TypedResults.Text(MetricsText.Of(context), MetricsText.ContentType))
            .WithTags("health").WithName("getMetrics").WithSummary("Metrics in the Prometheus text format.").Produces<string>(200, "text/plain");
        app.MapOpenApi("/openapi/{documentName}.json");
        OperatorPage.Map(app);
    }

    /// <summary>Where the server listens, as a person would open it; the loopback address first.</summary>
    public static IReadOnlyList<string> AddressesOf(WebApplication app) => [.. app.Services.GetRequiredService<IServer>().Features
        .Get<IServerAddressesFeature>()!.Addresses];

    private static void Limit(KestrelServerOptions kestrel, Doors doors)
    {
        kestrel.AddServerHeader = false;
        kestrel.Limits.MaxRequestBodySize = RequestGate.LongestBody;
        kestrel.Limits.RequestHeadersTimeout = HeadersTime;
        kestrel.Limits.KeepAliveTimeout = IdleTime;
        kestrel.Listen(IPAddress.Loopback, doors.Port, static options => options.Protocols = HttpProtocols.Http1);
        if (doors is not { Network: { } network, Certificate: { } certificate })
            return;
        kestrel.Listen(network.Address, network.Port, options =>
        {
            options.Protocols = HttpProtocols.Http1;
            options.UseHttps(new TlsHandshakeCallbackOptions
            {
                HandshakeTimeout = HeadersTime,
                OnConnection = _ => ValueTask.FromResult(certificate.Options),
            });
        });
    }
}
