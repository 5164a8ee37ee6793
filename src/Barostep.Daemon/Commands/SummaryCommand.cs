using System.CommandLine;
using Barostep.Daemon.Output;
using Barostep.Unattended;

namespace Barostep.Daemon.Commands;

/// <summary><c>summary</c>: what happened while nobody looked.</summary>
internal static class SummaryCommand
{
    private static readonly TimeSpan UsualSpan = TimeSpan.FromHours(24);

    public static Command Build(CommandIo io)
    {
        var state = new StateFolder();
        Option<string?> since = new("--since") { Description = "from when: 2026-11-25T17:00, by this machine's clock, or with an offset; without it the last 24 hours" };
        Option<int> days = new("--due-within-days")
        {
            Description = "names devices that become due within so many days",
            DefaultValueFactory = static _ => MorningSummary.UsualDueWithinDays,
        };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("summary", "Tells what was done since a moment: passed, failed, tripped and why, what waits, what is due.") { since, days, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            DateTimeOffset now = TimeProvider.System.GetUtcNow();
            MorningSummary summary = MorningSummary.Of(store, QueueCommand.MomentOf(arguments.GetValue(since)) ?? now - UsualSpan, now, arguments.GetValue(days));
            if (arguments.GetValue(json))
                Json.Write(io.Out, SummaryJson.Of(summary));
            else
                io.Out.Write(SummaryText.Of(summary));
            return ExitCodes.Done;
        }));
        return command;
    }
}
