using System.CommandLine;

namespace Barostep.Daemon.Commands;

/// <summary><c>benchmark</c>: measured figures beside their floor. No test asserts any of them.</summary>
internal static class BenchmarkCommand
{
    public static Command Build(CommandIo io) => new("benchmark", "Prints measured figures beside their floor.")
    {
        Timed("line", "Round trips over a pseudo-terminal, as a share of what the wire allows.", length =>
            Benchmarks.LineBenchmark.Run(io.Out, ConfigurationFolder.Load(ConfigurationFolder.Shipped), length)),
        Timed("kernel", "Time and memory of one decision of the safety kernel.", length =>
            Benchmarks.KernelBenchmark.Run(io.Out, ConfigurationFolder.Load(ConfigurationFolder.Shipped), length)),
        Guard(io),
        Overshoot(io),
        Records(io),
        Stop(io),
        Spoilt("definitions", "Spoilt instrument definitions: each loads, or gets a message with its place and what to write.", 10_000, (seed, count) =>
            Benchmarks.Fuzz.DefinitionFuzz.Report(io.Out, DefinitionTexts(), seed, count)),
        Spoilt("replies", "Spoilt replies: each is the number that it says or a failure of communication, never another number.", 1_000_000, (seed, count) =>
            Benchmarks.Fuzz.ReplyFuzz.Report(io.Out, ConfigurationFolder.Load(ConfigurationFolder.Shipped).Instruments, seed, count)),
        Settling(io),
        Day(io),
        Approach(io),
        Coverage(io),
        Soak(io),
    };

    private static Command Spoilt(string name, string description, int usual, Action<int, int> run)
    {
        Option<int> seed = new("--seed") { Description = "seed of the cases", DefaultValueFactory = _ => 1 };
        Option<int> count = new("--count") { Description = "how many", DefaultValueFactory = _ => usual };
        var command = new Command(name, description) { seed, count };
        command.SetAction(arguments =>
        {
            if (arguments.GetValue(count) < 1)
                throw new RefusedException($"--count {arguments.GetValue(count)} tries nothing; write 1 or more");
            run(arguments.GetValue(seed), arguments.GetValue(count));
            return ExitCodes.Done;
        });
        return command;
    }

    private static IReadOnlyList<string> DefinitionTexts() =>
        [.. Directory.GetFiles(Path.Combine(ConfigurationFolder.Shipped, "instruments"), "*.toml").Order(StringComparer.Ordinal).Select(File.ReadAllText)];

    private static Command Timed(string name, string description, Action<TimeSpan> run)
    {
        Option<double> seconds = new("--seconds") { Description = "how long each figure is measured", DefaultValueFactory = _ => 5 };
        var command = new Command(name, description) { seconds };
        command.SetAction(arguments =>
        {
            run(TimeSpan.FromSeconds(arguments.GetValue(seconds)));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Guard(CommandIo io)
    {
        Option<double> seconds = new("--seconds") { Description = "how long each figure is measured", DefaultValueFactory = _ => 30 };
        // The processes that it starts beside itself.
        Option<string?> role = new("--role") { Hidden = true };
        Option<string?> on = new("--on") { Hidden = true };
        Option<bool> collect = new("--collect") { Hidden = true };
        var command = new Command("guard", "Time from a reply above the ceiling to the first byte of the vent command, beside a bare read and write.") { seconds, role, on, collect };
        command.SetAction(arguments =>
        {
            switch (arguments.GetValue(role))
            {
                case Benchmarks.GuardBenchmark.Half:
                    Benchmarks.GuardBenchmarkSubject.RunGuardHalf(ConfigurationFolder.Load(ConfigurationFolder.Shipped), arguments.GetValue(on)!, arguments.GetValue(collect));
                    break;
                case Benchmarks.GuardBenchmark.Bare:
                    Benchmarks.GuardBenchmarkSubject.RunBare(arguments.GetValue(on)!);
                    break;
                case Benchmarks.GuardBenchmark.Busy:
                    Benchmarks.GuardBenchmarkSubject.RunBusy();
                    break;
                default:
                    Benchmarks.GuardBenchmark.Run(io.Out, TimeSpan.FromSeconds(arguments.GetValue(seconds)));
                    break;
            }

            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Stop(CommandIo io)
    {
        Option<double> seconds = new("--seconds") { Description = "how long each figure is measured", DefaultValueFactory = _ => 30 };
        var command = new Command("stop", "Time of a vent over HTTP, alone and while 200 streams are open and the interface is hammered.") { seconds };
        command.SetAction(async (arguments, _) =>
        {
            await Benchmarks.StopBenchmark.RunAsync(io.Out, TimeSpan.FromSeconds(arguments.GetValue(seconds)));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Soak(CommandIo io)
    {
        Option<int> benches = new("--benches") { Description = "how many simulated benches one daemon serves", DefaultValueFactory = _ => 16 };
        Option<double> minutes = new("--minutes") { Description = "how long", DefaultValueFactory = _ => 30 };
        var command = new Command("soak", "Many benches in one daemon, a run on each: late cycles, processors, memory.") { benches, minutes };
        command.SetAction(async (arguments, _) =>
        {
            int count = arguments.GetValue(benches);
            if (count is < 1 or > 99)
                throw new RefusedException($"--benches {count} is not possible; write 1 to 99");
            await Benchmarks.SoakBenchmark.RunAsync(io.Out, io.Error, ConfigurationFolder.Shipped, count, TimeSpan.FromMinutes(arguments.GetValue(minutes)));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Overshoot(CommandIo io)
    {
        Option<int> seed = new("--seed") { Description = "seed of the random benches", DefaultValueFactory = _ => 1 };
        Option<int> benches = new("--benches") { Description = "how many benches are drawn", DefaultValueFactory = _ => 1000 };
        var command = new Command("overshoot", "The true overshoot of random simulated benches, as a share of what was predicted.") { seed, benches };
        command.SetAction(arguments =>
        {
            Benchmarks.OvershootBenchmark.Run(io.Out, ConfigurationFolder.Load(ConfigurationFolder.Shipped), arguments.GetValue(seed), arguments.GetValue(benches));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Coverage(CommandIo io)
    {
        Option<ulong> seed = new("--seed") { Description = "seed of the random devices", DefaultValueFactory = _ => 1 };
        Option<int> devices = new("--devices") { Description = "how many devices are drawn", DefaultValueFactory = _ => 1000 };
        var command = new Command("coverage", "How often the stated uncertainty covers the true error, and how often a device is accepted wrongly.") { seed, devices };
        command.SetAction(arguments =>
        {
            Benchmarks.CoverageBenchmark.Run(io.Out, ConfigurationFolder.Load(ConfigurationFolder.Shipped), arguments.GetValue(seed), arguments.GetValue(devices));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Day(CommandIo io)
    {
        var command = new Command("day", "Devices in eight hours on the demo bench: fixed dwell, plain criterion, predicted rest.");
        command.SetAction(_ =>
        {
            Benchmarks.DayOfWork.Run(io.Out, ConfigurationFolder.Load(ConfigurationFolder.Shipped));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Approach(CommandIo io)
    {
        var command = new Command("approach", "Time of a sweep, and how far points are passed, with sources that pass their set points: caught afterwards, or avoided.");
        command.SetAction(_ =>
        {
            Benchmarks.ApproachBenchmark.Run(io.Out, ConfigurationFolder.Load(null));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Settling(CommandIo io)
    {
        Option<ulong> seed = new("--seed") { Description = "seed of the random benches", DefaultValueFactory = _ => 1 };
        Option<int> benches = new("--benches") { Description = "how many benches are drawn", DefaultValueFactory = _ => 2000 };
        Option<string?> plot = new("--plot") { Description = "file for a picture of time against bias, as SVG" };
        var command = new Command("settling", "Time and bias of ways to say when a point has settled, beside one who knows the truth.") { seed, benches, plot };
        command.SetAction(arguments =>
        {
            Benchmarks.SettlingBenchmark.Run(io.Out, arguments.GetValue(seed), arguments.GetValue(benches), arguments.GetValue(plot));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Records(CommandIo io)
    {
        Option<int> runs = new("--runs") { Description = "how many runs are made", DefaultValueFactory = _ => 100_000 };
        Option<ulong> seed = new("--seed") { Description = "seed of the runs", DefaultValueFactory = _ => 1 };
        Option<string?> state = new("--state") { Description = "folder in which the store is kept; without it one that is deleted afterwards" };
        var command = new Command("records", "Time of a page of runs and of a device's history among many runs.") { runs, seed, state };
        command.SetAction(arguments =>
        {
            Records(io, arguments.GetValue(runs), arguments.GetValue(seed), arguments.GetValue(state));
            return ExitCodes.Done;
        });
        return command;
    }

    private static void Records(CommandIo io, int runs, ulong seed, string? state)
    {
        if (runs < 1)
            throw new RefusedException($"--runs {runs} makes no store; write 1 or more");
        string folder = state ?? Directory.CreateTempSubdirectory("barostep-records-").FullName;
        try
        {
            Benchmarks.RecordsBenchmark.Run(io.Out, ConfigurationFolder.Load(ConfigurationFolder.Shipped), runs, seed, folder);
        }
        finally
        {
            if (state is null)
                Directory.Delete(folder, recursive: true);
        }
    }
}
