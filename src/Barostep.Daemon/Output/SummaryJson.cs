using Barostep.Daemon.Commands;
using Barostep.Unattended;

namespace Barostep.Daemon.Output;

/// <summary>The morning's summary for scripts.</summary>
internal static class SummaryJson
{
    public static object Of(MorningSummary summary) => new
    {
        sinceUtc = summary.SinceUtc,
        untilUtc = summary.UntilUtc,
        passed = summary.Passed.Count(),
        failed = summary.Failed.Count(),
        notDecided = summary.Undecided.Count(),
        tripped = summary.Tripped.Count(),
        notCompleted = summary.NotCompleted.Count(),
        runs = summary.Runs.Select(run => new
        {
            id = run.Id,
            startedUtc = run.StartedUtc,
            bench = run.Bench,
            device = run.Device,
            serialNumber = run.SerialNumber,
            procedure = run.Procedure,
            simulated = run.Simulated,
            outcome = RunListing.Camel(run.Outcome),
            outcomeReason = run.OutcomeReason,
            verdict = RunListing.Camel(run.Conformity),
        }),
        interrupted = summary.Interrupted.Select(Queued),
        queue = summary.Queue.Select(Queued),
        due = summary.Due.Select(device => new
        {
            device = device.Definition.Name,
            manufacturer = device.Identity.Manufacturer,
            model = device.Identity.Model,
            serialNumber = device.Identity.SerialNumber,
            dueOn = device.Due!.On,
        }),
    };

    private static object Queued(QueuedRun run) => new
    {
        id = run.Id,
        bench = run.Wish.Bench,
        device = run.Wish.Device,
        procedure = run.Wish.Procedure,
        notBeforeUtc = run.Wish.NotBeforeUtc,
        state = RunListing.Camel(run.State),
        run = run.RunId,
        note = run.Note,
    };
}
