using System.CommandLine;
using Barostep.Configuration;
using Barostep.Daemon.Guards;
using Barostep.Daemon.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Serilog.Events;

namespace Barostep.Daemon.Commands;

/// <summary><c>serve</c>: the daemon.</summary>
internal static class ServeCommand
{
    public static Command Build(CommandIo io)
    {
        Option<string?> config = Options.Config();
        Option<string?> ports = new("--ports") { Description = "folder with one folder a bench, in which the bench file's port names are links; without it they are paths" };
        Option<string?> state = Options.State();
        var command = new Command("serve", "Watches the benches named in barostep.toml until it is stopped.") { config, ports, state };
        command.SetAction(async (arguments, _) =>
        {
            WorkshopConfiguration workshop = ConfigurationFolder.Load(arguments.GetValue(config));
            if (workshop.Daemon.Benches.Count == 0)
                throw new RefusedException("barostep.toml names no bench to serve; write benches = [\"name\"]");
            foreach (string name in workshop.Daemon.Benches)
                PermitCheck.Demand(workshop.Benches[name], null, workshop.Origins);
            string folder = ConfigurationFolder.Find(arguments.GetValue(config));
            await ServeAsync(io, workshop, folder, Options.StateOf(arguments.GetValue(state), workshop), arguments.GetValue(ports));
            return ExitCodes.Done;
        });
        return command;
    }

    private static async Task ServeAsync(CommandIo io, WorkshopConfiguration workshop, string folder, string state, string? ports)
    {
        using FileStream held = Hold(state);
        HostApplicationBuilder builder = ProgramHost.Builder(io, LevelOf(workshop.Daemon.LogLevel), Path.Combine(state, "barostep.log"));
        foreach (string name in workshop.Daemon.Benches)
        {
            builder.Services.AddSingleton<IHostedService>(services => new BenchService(
                workshop.Benches[name],
                new GuardOrder(name, folder, state, ports is null ? null : Path.Combine(ports, name), static _ => { }),
                services.GetRequiredService<OperatorLifetime>(),
                services.GetRequiredService<TimeProvider>(),
                services.GetRequiredService<ILogger<BenchService>>()));
        }

        using IHost host = builder.Build();
        OperatorLifetime signals = host.Services.GetRequiredService<OperatorLifetime>();
        await host.StartAsync();
        foreach (BenchService bench in host.Services.GetServices<IHostedService>().OfType<BenchService>())
            await bench.ExecuteTask!;
        await host.StopAsync();
    }

    /// <summary>Keeps the state folder for this process: two that went on with one journal would break its chain.</summary>
    private static FileStream Hold(string state)
    {
        try
        {
            Directory.CreateDirectory(state);
            return new FileStream(Path.Combine(state, "serve.lock"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException(
                $"the state folder {state} cannot be taken: {error.Message} Stop the other barostep serve, or write another state_folder in barostep.toml.");
        }
    }

    private static LogEventLevel LevelOf(Configuration.LogLevel level) => level switch
    {
        Configuration.LogLevel.Debug => LogEventLevel.Debug,
        Configuration.LogLevel.Information => LogEventLevel.Information,
        Configuration.LogLevel.Warning => LogEventLevel.Warning,
        Configuration.LogLevel.Error => LogEventLevel.Error,
        _ => throw new ArgumentOutOfRangeException(nameof(level)),
    };
}
