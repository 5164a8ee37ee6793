using System.CommandLine;

namespace Barostep.Daemon.Commands;

/// <summary><c>benchmark</c>: measured figures beside their floor. No test asserts any of them.</summary>
internal static class BenchmarkCommand
{
    public static Command Build(CommandIo io)
    {
        Argument<string> name = new("name") { Description = "line or kernel" };
        name.AcceptOnlyFromAmong("line", "kernel");
        Option<double> seconds = new("--seconds") { Description = "how long each figure is measured", DefaultValueFactory = _ => 5 };
        var command = new Command("benchmark", "Prints measured figures beside their floor.") { name, seconds };
        command.SetAction(arguments =>
        {
            TimeSpan length = TimeSpan.FromSeconds(arguments.GetValue(seconds));
            if (arguments.GetValue(name) == "line")
                Benchmarks.LineBenchmark.Run(io.Out, ConfigurationFolder.Load(null), length);
            else
                Benchmarks.KernelBenchmark.Run(io.Out, ConfigurationFolder.Load(null), length);
            return ExitCodes.Done;
        });
        return command;
    }
}
