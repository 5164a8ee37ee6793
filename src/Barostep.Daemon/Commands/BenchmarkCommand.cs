using System.CommandLine;

namespace Barostep.Daemon.Commands;

/// <summary><c>benchmark</c>: measured figures beside their floor. No test asserts any of them.</summary>
internal static class BenchmarkCommand
{
    public static Command Build(CommandIo io)
    {
        Argument<string> name = new("name") { Description = "line, kernel or records" };
        name.AcceptOnlyFromAmong("line", "kernel", "records");
        Option<double> seconds = new("--seconds") { Description = "line and kernel: how long each figure is measured", DefaultValueFactory = _ => 5 };
        Option<int> runs = new("--runs") { Description = "records: how many runs are made", DefaultValueFactory = _ => 100_000 };
        Option<ulong> seed = new("--seed") { Description = "records: seed of the runs", DefaultValueFactory = _ => 1 };
        Option<string?> state = new("--state") { Description = "records: folder in which the store is kept; without it one that is deleted afterwards" };
        var command = new Command("benchmark", "Prints measured figures beside their floor.") { name, seconds, runs, seed, state };
        command.SetAction(arguments =>
        {
            TimeSpan length = TimeSpan.FromSeconds(arguments.GetValue(seconds));
            if (arguments.GetValue(name) == "line")
                Benchmarks.LineBenchmark.Run(io.Out, ConfigurationFolder.Load(null), length);
            else if (arguments.GetValue(name) == "records")
                Records(io, arguments.GetValue(runs), arguments.GetValue(seed), arguments.GetValue(state));
            else
                Benchmarks.KernelBenchmark.Run(io.Out, ConfigurationFolder.Load(null), length);
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
            Benchmarks.RecordsBenchmark.Run(io.Out, ConfigurationFolder.Load(null), runs, seed, folder);
        }
        finally
        {
            if (state is null)
                Directory.Delete(folder, recursive: true);
        }
    }
}
