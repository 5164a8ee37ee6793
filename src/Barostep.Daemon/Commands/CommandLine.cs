using System.CommandLine;
using System.CommandLine.Parsing;

namespace Barostep.Daemon.Commands;

/// <summary>The program's commands, and what becomes of a wish that cannot be granted.</summary>
internal static class CommandLine
{
    public static RootCommand Root(CommandIo io) => new(
        "Runs pressure calibrations by itself: point by point, never past the ceiling, with a record of every decision. "
        + "It is not a safety device: fit a relief valve below the lowest rating.")
    {
        SweepCommands.Demo(io),
        SweepCommands.Sweep(io),
        CheckCommand.Build(io),
        InstrumentCommand.Build(io),
        PortsCommand.Build(io),
        LimitsCommand.Build(io),
        JournalCommand.Build(io),
        ServeCommand.Build(io),
        TokensCommand.Build(io),
        QueueCommand.Build(io),
        SummaryCommand.Build(io),
        StatusCommand.Build(io),
        GuardCommands.Vent(io),
        GuardCommands.Acknowledge(io),
        GuardCommands.Ceiling(io),
        AlarmCommand.Build(io),
        RunsCommand.Build(io),
        DevicesCommand.Build(io),
        JobsCommand.Build(io),
        CertificatesCommand.Build(io),
        StandardsCommand.Build(io),
        BackupCommand.Build(io),
        BenchmarkCommand.Build(io),
        SimulateCommand.Build(io),
        BudgetCommand.Build(io),
        EvaluateCommand.Build(io),
        ManualCommand.Build(io),
    };

    public static async Task<int> RunAsync(string[] arguments, CommandIo io)
    {
        RootCommand root = Root(io);
        NameCompletion.AddTo(root);
        ParseResult parsed = root.Parse(arguments);
        if (parsed.Errors.Count > 0)
        {
            foreach (ParseError error in parsed.Errors)
                await io.Error.WriteLineAsync(error.Message);
            await io.Error.WriteLineAsync("Add --help to see what is understood.");
            return ExitCodes.Refused;
        }

        try
        {
            // Signals are the operator's wishes, not an end of the process: see OperatorLifetime.
            return await parsed.InvokeAsync(new InvocationConfiguration
            {
                ProcessTerminationTimeout = null,
                EnableDefaultExceptionHandler = false,
                Output = io.Out,
                Error = io.Error,
            });
        }
        catch (RefusedException refused)
        {
            await io.Error.WriteLineAsync(refused.Message);
            return ExitCodes.Refused;
        }
    }
}
