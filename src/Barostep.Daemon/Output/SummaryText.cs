using System.Globalization;
using System.Text;
using Barostep.Records;
using Barostep.Unattended;

namespace Barostep.Daemon.Output;

/// <summary>The morning's summary for people.</summary>
internal static class SummaryText
{
    /// <summary>One line: what somebody wants to know before the coffee.</summary>
    public static string Title(MorningSummary summary)
    {
        string[] parts =
        [
            $"{summary.Passed.Count()} passed",
            $"{summary.Failed.Count()} failed",
            .. Some(summary.Undecided.Count(), "not decided"),
            $"{summary.Tripped.Count()} tripped",
            .. Some(summary.NotCompleted.Count(), "not completed"),
            $"{summary.Queue.Count} waiting",
        ];
        return string.Join(", ", parts);
    }

    public static string Of(MorningSummary summary)
    {
        var text = new StringBuilder();
        text.AppendLine(CultureInfo.InvariantCulture, $"since {RecordText.Moment(summary.SinceUtc)} UTC: {Title(summary)}");
        foreach (RunSummary run in summary.Runs)
        {
            string why = run.OutcomeReason.Length > 0 && run.Outcome != RunOutcome.Completed ? $": {run.OutcomeReason}" : string.Empty;
            text.AppendLine(CultureInfo.InvariantCulture,
                $"  {RecordText.Moment(run.StartedUtc)}  {run.Bench}  {run.Device} ({run.SerialNumber})  {run.Procedure}  {RecordText.Verdict(run.Outcome, run.Conformity)}{why}");
        }

        List(text, "interrupted by the end of the program", summary.Interrupted.Select(run => $"{run.Id}  {run.Wish.Bench}  {run.Wish.Device}  {run.Wish.Procedure}"));
        List(text, "in the queue", summary.Queue.Select(run => $"{run.Id}  {run.Wish.Bench}  {run.Wish.Device}  {run.Wish.Procedure}  {run.State.ToString().ToLowerInvariant()}"));
        List(text, "due", summary.Due.Select(device => $"{RecordText.Day(device.Due!.On)}  {device.Definition.Name}  {device.Identity}"));
        return text.ToString();
    }

    private static void List(StringBuilder text, string title, IEnumerable<string> lines)
    {
        string[] all = [.. lines];
        if (all.Length == 0)
            return;
        text.AppendLine(CultureInfo.InvariantCulture, $"{title}:");
        foreach (string line in all)
            text.AppendLine(CultureInfo.InvariantCulture, $"  {line}");
    }

    private static string[] Some(int count, string words) => count == 0 ? [] : [$"{count} {words}"];
}
