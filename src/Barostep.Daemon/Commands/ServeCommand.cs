using System.CommandLine;
using Barostep.Configuration;
using Barostep.Daemon.Access;
using Barostep.Daemon.Api;
using Barostep.Daemon.Guards;
using Barostep.Daemon.Hosting;
using Barostep.Daemon.Sweeps;
using Barostep.Daemon.Unattended;

namespace Barostep.Daemon.Commands;

/// <summary><c>serve</c>: the daemon.</summary>
internal static class ServeCommand
{
    private const string DemoBench = "demo";

    public static Command Build(CommandIo io)
    {
        Option<string?> config = Options.Config();
        Option<string?> ports = new("--ports") { Description = "folder with one folder a bench, in which the bench file's port names are links; without it they are paths" };
        Option<string?> state = Options.State();
        Option<int?> port = new("--port") { Description = "port of the operator page on this machine, 0 for any free one; without it the one of barostep.toml" };
        Option<bool> demo = new("--demo") { Description = "serves a simulated bench instead: no hardware is touched" };
        Option<ulong> seed = new("--seed") { Description = "with --demo: seed of the simulated noise", DefaultValueFactory = _ => 1 };
        var command = new Command("serve", "Serves the benches named in barostep.toml, with an operator page, until it is stopped.")
        {
            config, ports, state, port, demo, seed,
        };
        command.SetAction(async (arguments, _) =>
        {
            string folder = ConfigurationFolder.Find(arguments.GetValue(config) ?? (arguments.GetValue(demo) ? ConfigurationFolder.Shipped : null));
            WorkshopConfiguration workshop = ConfigurationFolder.Load(folder);
            int onPort = PortOf(arguments.GetValue(port), workshop);
            if (arguments.GetValue(demo))
                await DemoAsync(io, workshop, folder, arguments.GetValue(state), onPort, arguments.GetValue(seed));
            else
                await ServeAsync(io, workshop, folder, Options.StateOf(arguments.GetValue(state), workshop), arguments.GetValue(ports), onPort);
            return ExitCodes.Done;
        });
        return command;
    }

    private static Task ServeAsync(CommandIo io, WorkshopConfiguration workshop, string folder, string state, string? ports, int port)
    {
        if (workshop.Daemon.Benches.Count == 0)
            io.Error.WriteLine($"{Path.Combine(folder, "barostep.toml")} names no bench yet, so nothing is guarded; write benches = [\"name\"] and start again");
        foreach (string name in workshop.Daemon.Benches)
            PermitCheck.Demand(workshop.Benches[name], null, workshop.Origins);
        return Hosting.Daemon.RunAsync(io, new DaemonOrder(
            workshop,
            workshop.Daemon.Benches,
            state,
            name => new GuardOrder(name, folder, state, ports is null ? null : Path.Combine(ports, name), static _ => { }),
            Simulated: ports is not null,
            DoorsOf(workshop, folder, state, port))
        {
            Channels = NoticeSender.Channels(workshop.Daemon.Notify, folder, TimeProvider.System),
        });
    }

    /// <summary>The same daemon on a bench that does not exist; without a state folder, its records go with it.</summary>
    private static async Task DemoAsync(CommandIo io, WorkshopConfiguration workshop, string folder, string? givenState, int port, ulong seed)
    {
        ConfigurationFolder.Named(workshop.Benches, "bench", DemoBench);
        using BenchProcess bench = BenchProcess.Start(DemoBench, seed, truthPath: null);
        string state = givenState is null ? bench.StateFolder : Path.GetFullPath(givenState);
        string ports = bench.Ports;
        await io.Error.WriteLineAsync("demo bench: simulated, no hardware is touched");
        await Hosting.Daemon.RunAsync(io, new DaemonOrder(
            workshop,
            [DemoBench],
            state,
            name => new GuardOrder(name, folder, state, ports, static _ => { }),
            Simulated: true,
            // Who tries it out opens nothing to a network.
            new Doors(port, Network: null, Certificate: null)));
    }

    /// <summary>Nothing is opened to a network without both a certificate and somebody who has a token.</summary>
    private static Doors DoorsOf(WorkshopConfiguration workshop, string folder, string state, int port)
    {
        if (workshop.Daemon.Network is not { } network)
            return new Doors(port, Network: null, Certificate: null);
        var certificate = new ServerCertificate(network, folder, TimeProvider.System);
        return new TokenFile(state).Read().Count > 0
            ? new Doors(port, network, certificate)
            : throw new RefusedException(
                $"[network] in barostep.toml opens the daemon at {network.Address}, and nobody has a token; run barostep tokens add --name NAME --role operate, or delete [network]");
    }

    private static int PortOf(int? given, WorkshopConfiguration workshop)
    {
        int port = given ?? workshop.Daemon.HttpPort;
        return port is >= 0 and <= 65535
            ? port
            : throw new RefusedException($"--port {port} is no port; write a number from 0 to 65535");
    }
}
