using System.Globalization;
using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Records;

namespace Barostep.Daemon.Output;

/// <summary>A device as found and as left beside each other, and what comes next in its job.</summary>
internal static class JobText
{
    /// <summary>
    /// The result as found that a run as left follows; null where the run is no run as left, or the device's file was changed
    /// between the two, so that they cannot be set beside each other.
    /// </summary>
    public static RunResult? AsFoundBefore(RunStore store, RunRecord run) =>
        run.Job is { Stage: JobStage.AsLeft } use && store.Jobs.Get(use.Job.Name)?.AsFound is { } found
        && store.Get(found.RunId)! is var record && record.Device == run.Device
            ? RunEvaluation.Evaluate(record)
            : null;

    /// <summary>Both calibrations of a job, point by point.</summary>
    public static void WriteComparison(TextWriter output, RunResult found, RunResult left)
    {
        AsFoundAsLeft compared = AsFoundAsLeft.Compare(found, left);
        double tolerance = found.Record.Device.ToleranceOfSpan;
        int decimals = ResultFormat.DecimalsFor(tolerance * 100);
        output.WriteLine("mean errors in % of span");
        var table = new ColumnTable("% of span>", "", "as found>", "as left>", "change>", "limit>");
        foreach (PointChange change in compared.Changes)
        {
            table.Add(
                RecordText.Number(change.NominalOfSpan * 100),
                change.Direction == SeriesDirection.Ascending ? "up" : "down",
                RecordText.Percent(change.FoundOfSpan, decimals),
                RecordText.Percent(change.LeftOfSpan, decimals),
                RecordText.Percent(change.ChangeOfSpan, decimals),
                ResultFormat.Plain(found.Record.Device.LimitOfSpanAt(change.NominalOfSpan) * 100, decimals));
        }

        table.Write(output);
        output.WriteLine($"as found {RecordText.Verdict(compared.Found)}, largest error {Percent(compared.LargestFound)} %; as left {RecordText.Verdict(compared.Left)}, largest error {Percent(compared.LargestLeft)} %");
        if (compared.PastReadingsAreInDoubt)
            output.WriteLine("the device failed as found: what was measured with it since its last calibration is in doubt");

        string Percent(double share) => ResultFormat.Plain(share * 100, decimals);
    }

    /// <summary>The adjustment advice of a run, in one line; nothing without figures.</summary>
    public static void WriteAdvice(TextWriter output, RunResult result)
    {
        if (result.Advice is { } advice)
            output.WriteLine($"adjustment  {advice.InWords(result.Record.Device.ToleranceOfSpan)}");
    }

    /// <summary>What follows in a job after a run of it; nothing where the run is of no job or was not completed.</summary>
    public static void WriteNext(TextWriter output, RunRecord record, RunResult result, RunResult? asFound)
    {
        if (record.Job is not { } use || record.Outcome != RunOutcome.Completed)
            return;
        output.WriteLine();
        if (asFound is not null)
            WriteComparison(output, asFound, result);
        output.WriteLine(Next(use, result.Conformity));
    }

    private static string Next(JobUse use, Conformity conformity) => (use.Stage, conformity) switch
    {
        (JobStage.AsFound, Conformity.Failed) when use.Job.AdjustmentAllowed => string.Create(CultureInfo.InvariantCulture,
            $"next: adjust the device by the advice, note it with 'jobs adjust {use.Job.Name} --by NAME --note TEXT', and run as left"),
        (JobStage.AsFound, Conformity.Failed) => $"next: job {use.Job.Name} allows no adjustment; 'certificates issue --job {use.Job.Name} --by NAME'",
        (JobStage.AsLeft, Conformity.Failed) => $"next: adjust once more, note it with 'jobs adjust {use.Job.Name}', and run as left again",
        _ => $"next: 'certificates issue --job {use.Job.Name} --by NAME'",
    };
}
