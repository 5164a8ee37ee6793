using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Unattended;

/// <summary>What happened while nobody looked, and what comes next.</summary>
/// <param name="Runs">That ended since, or go on; newest first.</param>
/// <param name="Queue">What waits or is run.</param>
/// <param name="Interrupted">Queued runs that the end of the program cut off since.</param>
/// <param name="Due">Devices due by the last day looked at or overdue, the most urgent first.</param>
public sealed record MorningSummary(
    DateTimeOffset SinceUtc,
    DateTimeOffset UntilUtc,
    IReadOnlyList<RunSummary> Runs,
    IReadOnlyList<QueuedRun> Queue,
    IReadOnlyList<QueuedRun> Interrupted,
    IReadOnlyList<DeviceSummary> Due)
{
    /// <summary>How many days ahead devices that become due are named, where nothing else is said.</summary>
    public const int UsualDueWithinDays = 30;

    private const int MostInterrupted = 50;

    public IEnumerable<RunSummary> Passed => Completed(Conformity.Passed);

    public IEnumerable<RunSummary> Failed => Completed(Conformity.Failed);

    /// <summary>Completed without a decision.</summary>
    public IEnumerable<RunSummary> Undecided => Completed(Conformity.NotDecided);

    public IEnumerable<RunSummary> Tripped => Runs.Where(run => run.Outcome == RunOutcome.Tripped);

    /// <summary>Neither completed nor tripped: stopped, aborted, refused, failed by an instrument, or cut off.</summary>
    public IEnumerable<RunSummary> NotCompleted => Runs.Where(run => run.Outcome is not (RunOutcome.Completed or RunOutcome.Tripped));

    /// <summary>Looks it all up.</summary>
    public static MorningSummary Of(RunStore store, DateTimeOffset sinceUtc, DateTimeOffset nowUtc, int dueWithinDays)
    {
        var until = DateOnly.FromDateTime(nowUtc.UtcDateTime.AddDays(dueWithinDays));
        return new MorningSummary(
            sinceUtc,
            nowUtc,
            store.Since(sinceUtc),
            store.Queue.Open(),
            [.. store.Queue.Over(MostInterrupted).Where(run => run.State == QueueState.Interrupted && run.AddedUtc >= sinceUtc.AddDays(-7))],
            [.. store.Devices.List().Where(device => device.Due is { } due && due.On <= until).OrderBy(device => device.Due!.On)]);
    }

    private IEnumerable<RunSummary> Completed(Conformity verdict) =>
        Runs.Where(run => run.Outcome == RunOutcome.Completed && run.Conformity == verdict);
}
