using System.CommandLine;

namespace Barostep.Daemon.Commands;

/// <summary><c>benchmark</c>: measured figures beside their floor. No test asserts any of them.</summary>
internal static class BenchmarkCommand
{
    public static Command Build(CommandIo io)
    {
        Argument<string> name = new("name") { Description = "line, kernel or overshoot" };
        name.AcceptOnlyFromAmong("line", "kernel", "overshoot");
        Option<double> seconds = new("--seconds") { Description = "how long each figure is measured", DefaultValueFactory = _ => 5 };
        Option<int> seed = new("--seed") { Description = "overshoot: seed of the random benches", DefaultValueFactory = _ => 1 };
        Option<int> benches = new("--benches") { Description = "overshoot: how many benches are drawn", DefaultValueFactory = _ => 1000 };
        var command = new Command("benchmark", "Prints measured figures beside their floor.") { name, seconds, seed, benches };
        command.SetAction(arguments =>
        {
            TimeSpan length = TimeSpan.FromSeconds(arguments.GetValue(seconds));
            switch (arguments.GetValue(name))
            {
                case "line":
                    Benchmarks.LineBenchmark.Run(io.Out, ConfigurationFolder.Load(null), length);
                    break;
                case "overshoot":
                    Benchmarks.OvershootBenchmark.Run(io.Out, ConfigurationFolder.Load(null), arguments.GetValue(seed), arguments.GetValue(benches));
                    break;
                default:
                    Benchmarks.KernelBenchmark.Run(io.Out, ConfigurationFolder.Load(null), length);
                    break;
            }

            return ExitCodes.Done;
        });
        return command;
    }
}
