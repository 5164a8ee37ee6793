using System.Collections;
using Barostep.Daemon.Commands;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using OpenTelemetry;
using OpenTelemetry.Metrics;
using OpenTelemetry.Resources;
using OpenTelemetry.Trace;
using Serilog;
using Serilog.Events;
using Serilog.Formatting.Compact;

namespace Barostep.Daemon.Hosting;

/// <summary>Puts a host together as every long-running command needs it: log, telemetry, signals.</summary>
internal static class ProgramHost
{
    private const string Name = "barostep";

    /// <summary>Ten of them are 160 MB: nothing that is absent or broken may fill the disk by being reported.</summary>
    private const long LargestLog = 16 * 1024 * 1024;

    /// <summary>Longer than any vent: a host that gives up sooner would leave pressure behind.</summary>
    private static readonly TimeSpan ShutdownTimeout = TimeSpan.FromMinutes(6);

    /// <param name="io">Where people are written to.</param>
    /// <param name="console">Least level that people at the terminal see.</param>
    /// <param name="logPath">File that gets everything as one JSON object a line; null for none.</param>
    public static HostApplicationBuilder Builder(CommandIo io, LogEventLevel console, string? logPath)
    {
        HostApplicationBuilder builder = Host.CreateEmptyApplicationBuilder(new HostApplicationBuilderSettings { ApplicationName = Name });
        AddTo(builder, io, console, logPath);
        return builder;
    }

    /// <summary>The same with HTTP: nothing listens before it is told where.</summary>
    public static WebApplicationBuilder WebBuilder(CommandIo io, LogEventLevel console, string? logPath)
    {
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions { ApplicationName = Name });
        AddTo(builder, io, console, logPath);
        return builder;
    }

    private static void AddTo(IHostApplicationBuilder builder, CommandIo io, LogEventLevel console, string? logPath)
    {
        IServiceCollection services = builder.Services;
        builder.Configuration.AddInMemoryCollection(StandardVariables());
        services.AddSerilog(Logger(console, logPath));
        services.AddSingleton(io);
        services.AddSingleton(TimeProvider.System);
        services.AddSingleton<OperatorLifetime>();
        services.AddSingleton<IHostLifetime>(static provider => provider.GetRequiredService<OperatorLifetime>());
        services.Configure<HostOptions>(options => options.ShutdownTimeout = ShutdownTimeout);
        AddTelemetry(services);
    }

    private static Serilog.Core.Logger Logger(LogEventLevel console, string? logPath)
    {
        LoggerConfiguration configuration = new LoggerConfiguration()
            .MinimumLevel.Debug()
            .MinimumLevel.Override("Microsoft", LogEventLevel.Warning)
            .WriteTo.Console(
                restrictedToMinimumLevel: console,
                standardErrorFromLevel: LogEventLevel.Verbose,
                formatProvider: System.Globalization.CultureInfo.InvariantCulture);
        if (logPath is not null)
        {
            configuration = configuration.WriteTo.File(
                new CompactJsonFormatter(), logPath, fileSizeLimitBytes: LargestLog, rollOnFileSizeLimit: true, retainedFileCountLimit: 10);
        }

        return configuration.CreateLogger();
    }

    /// <summary>An empty host reads no environment, and the exporter asks the host: without these it would not find the collector.</summary>
    private static IEnumerable<KeyValuePair<string, string?>> StandardVariables() => Environment.GetEnvironmentVariables().Cast<DictionaryEntry>()
        .Where(one => ((string)one.Key).StartsWith("OTEL_", StringComparison.Ordinal))
        .Select(one => KeyValuePair.Create((string)one.Key, (string?)one.Value));

    /// <summary>Nothing leaves the machine unless the standard variable names a collector.</summary>
    private static void AddTelemetry(IServiceCollection services)
    {
        OpenTelemetryBuilder telemetry = services.AddOpenTelemetry()
            .ConfigureResource(resource => resource.AddService("barostep", serviceVersion: ProgramVersion.Text))
            .WithMetrics(metrics => metrics.AddMeter(Telemetry.Name))
            .WithTracing(tracing => tracing.AddSource(Telemetry.Name));
        if (Environment.GetEnvironmentVariable("OTEL_EXPORTER_OTLP_ENDPOINT") is { Length: > 0 })
            telemetry.UseOtlpExporter();
    }
}
