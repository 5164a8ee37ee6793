using System.CommandLine;
using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Barostep.Daemon.Simulation;
using Barostep.Daemon.Simulation.Checkers;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Simulators;

namespace Barostep.Daemon.Commands;

/// <summary><c>simulate</c>: the whole program against a simulated bench with faults, on virtual time, judged on the truth.</summary>
internal static class SimulateCommand
{
    private const ulong FirstSeed = 1;

    public static Command Build(CommandIo io)
    {
        Option<int?> seeds = new("--seeds") { Description = "how many worlds, from --seed upwards; without it one with --seed, else 100" };
        Option<ulong?> seed = new("--seed") { Description = "the first seed" };
        Option<string?> faults = new("--faults")
        {
            Description = "'none'; 'matrix' for one cell of the single-fault matrix a seed; 'pairs' for two faults a seed; names of kinds to draw from; or a schedule such as guard-killed@settle.middle+10. Without it drawn from all kinds",
        };
        Option<bool> onePoint = new("--one-point") { Description = "the shortest procedure instead of the one that the seed draws" };
        Option<bool> list = new("--list-faults") { Description = "names the kinds of fault and their sizes, and runs nothing" };
        Option<bool> json = Options.Json();
        Option<string?> config = Options.Config();
        var command = new Command("simulate", "Runs the program on a simulated bench with faults, on virtual time, and judges it by the true gas.")
        {
            seeds, seed, faults, onePoint, list, json, config,
        };
        command.SetAction(arguments =>
        {
            if (arguments.GetValue(list))
                return ListFaults(io);
            Func<ulong, IReadOnlyList<PlannedFault>> draw = DrawOf(arguments.GetValue(faults));
            ulong first = arguments.GetValue(seed) ?? FirstSeed;
            int count = arguments.GetValue(seeds) ?? (arguments.GetValue(seed) is null ? 100 : 1);
            if (count < 1)
                throw new RefusedException($"--seeds {count}: write a number above 0");
            var bench = new BenchSource(ConfigurationFolder.Load(arguments.GetValue(config) ?? ConfigurationFolder.Shipped), BenchFile.Load("demo"));
            return Run(io, bench, first, count, draw, arguments.GetValue(onePoint), arguments.GetValue(json));
        });
        return command;
    }

    private static int Run(
        CommandIo io, BenchSource bench, ulong first, int count, Func<ulong, IReadOnlyList<PlannedFault>> draw, bool onePoint, bool json)
    {
        var tally = new SimulationTally();
        for (int i = 0; i < count; i++)
        {
            ulong seed = first + (ulong)i;
            SeedResult result = SeedRun.Of(bench, new WorldPlan(seed, draw(seed), onePoint));
            tally.Add(result);
            foreach (Violation violation in result.Violations)
                tally.Add(Explain(io, bench, result, violation));
            if (count > 1 && (i + 1) % 1000 == 0)
                io.Error.WriteLine($"{i + 1} of {count} seeds, {tally.Text()}");
        }

        if (json)
            io.Out.WriteLine(JsonSerializer.Serialize(tally.Json(first), Json.Indented));
        else
            io.Out.WriteLine(count == 1 ? $"{tally.Last!.Plan}\nruns ended: {tally.Last.Outcomes}; trace {tally.Last.Trace:x16}\n{tally.Text()}" : tally.Text());
        return tally.Violations.Count == 0 ? ExitCodes.Done : ExitCodes.NotVerified;
    }

    private static ShownViolation Explain(CommandIo io, BenchSource bench, SeedResult result, Violation violation)
    {
        io.Error.WriteLine(string.Create(
            CultureInfo.InvariantCulture, $"seed {result.Plan.Seed}: {violation.Invariant} at {violation.AtMicros / 1e6:0.000} s: {violation.What}"));
        io.Error.WriteLine($"  {result.Plan}");
        WorldPlan least = new Shrinker(bench, violation.Invariant).Shrink(result.Plan);
        io.Error.WriteLine($"  smallest: {least}");
        return new ShownViolation(result.Plan.Seed, violation.Invariant, violation.AtMicros / 1e6, violation.What, result.Plan.ToString(), least.ToString());
    }

    private static Func<ulong, IReadOnlyList<PlannedFault>> DrawOf(string? text)
    {
        switch (text)
        {
            case null:
                return seed => FaultDraw.Swarm(seed, FaultCatalogue.All);
            case "none":
                return static _ => [];
            case "pairs":
                return FaultDraw.Pair;
            case "matrix":
                return static seed => [FaultDraw.Cell(FaultDraw.CellOf(seed))];
            default:
                break;
        }

        if (text.Contains('@', StringComparison.Ordinal))
        {
            IReadOnlyList<PlannedFault> schedule = PlannedFault.ParseList(text);
            return _ => schedule;
        }

        FaultKind[] kinds = [.. text.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(FaultCatalogue.Named)];
        return seed => FaultDraw.Swarm(seed, kinds);
    }

    private static int ListFaults(CommandIo io)
    {
        foreach (FaultKind kind in FaultCatalogue.All)
            io.Out.WriteLine($"{kind.Name} ({kind.Codes}): {string.Join(", ", kind.Sizes.Select((size, i) => $"{i} {size}"))}");
        return ExitCodes.Done;
    }
}
