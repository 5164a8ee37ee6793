using System.CommandLine;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Output;
using Barostep.Safety;

namespace Barostep.Daemon.Commands;

/// <summary><c>limits</c>: what holds on a bench, what it could do at worst, and whether it may make pressure.</summary>
internal static class LimitsCommand
{
    public static Command Build(CommandIo io)
    {
        Option<string> bench = new("--bench") { Description = "bench to look at", Required = true };
        Option<string[]> device = Options.Devices("device on it, NAME or NAME@INPUT; several hang on one manifold; without one the bare bench");
        Option<string?> config = Options.Config();
        Option<bool> json = Options.Json();
        var command = new Command("limits", "Shows every limit of a bench with its origin, the worst overshoot, and whether the bench may make pressure.")
        {
            bench, device, config, json,
        };
        command.SetAction(arguments =>
        {
            WorkshopConfiguration workshop = ConfigurationFolder.Load(arguments.GetValue(config));
            BenchDefinition onBench = ConfigurationFolder.Named(workshop.Benches, "bench", arguments.GetValue(bench)!);
            if (arguments.GetValue(device) is { Length: > 0 } named)
                onBench = SweepCommands.Mounted(workshop, onBench, Mounting.Text(named));
            DeviceDefinition? ofDevice = onBench.Mounted.Count > 0 ? onBench.Mounted[0].Device : null;
            BenchPermit permit = BenchPermit.For(onBench, ofDevice, workshop.Origins, PermitCheck.Today());
            if (permit.Report is not { } report)
                throw new RefusedException(string.Join('\n', permit.Refusals(onBench)));
            if (arguments.GetValue(json))
                io.Out.WriteLine(JsonSerializer.Serialize(LimitsJson.Of(onBench, ofDevice, permit, report), Json.Indented));
            else
                WriteText(io, onBench, ofDevice, permit, report);
            return permit.IsGranted ? ExitCodes.Done : ExitCodes.Refused;
        });
        return command;
    }

    private static void WriteText(CommandIo io, BenchDefinition bench, DeviceDefinition? device, BenchPermit permit, OvershootReport report)
    {
        string fitted = bench.Mounted.Count > 0
            ? string.Join(", ", bench.Mounted.Select(one => $"device {one.Device.Name} ({one.Device.Title}) at input {one.Input.Name}"))
            : device is null ? "no device" : $"device {device.Name} ({device.Title})";
        io.Out.WriteLine($"Bench {bench.Name} ({bench.Title}) with {fitted}");
        LimitContribution tightest = report.Inputs.CeilingGovernedBy;
        if (bench.Mounted.Count > 1)
            io.Out.WriteLine($"The ceiling is the lowest rating among them and the bench: {tightest.Source} ({tightest.Origin})");
        if (bench.Person is { } person)
        {
            foreach (string line in BenchPermit.WhatAPersonLeaves(bench, person))
                io.Out.WriteLine(line);
        }

        report.Write(io.Out, bench.Ceiling.Unit, bench.Ceiling.Reference);
        foreach (string refusal in permit.Attended)
            io.Out.WriteLine($"REFUSED all the same: {refusal}");
    }
}
