using Barostep.Daemon.Hosting;
using Barostep.Daemon.Output;
using Barostep.Evaluation;
using Barostep.Evaluation.Decisions;
using Barostep.Records;
using Barostep.Safety;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Sweeps;

/// <summary>How one sweep is done and what it leaves behind.</summary>
/// <param name="Job">What is done.</param>
/// <param name="Open">Opens the place where it is done, given the time of the start and who is told of its guard.</param>
/// <param name="Folder">Where its files go; null for nowhere.</param>
internal sealed record SweepOrder(
    SweepJob Job,
    Func<DateTimeOffset, Action<string>, ISweepPlace> Open,
    RunFolder? Folder)
{
    /// <summary>Signs where the journal ended; null where it is kept nowhere.</summary>
    public Action<JournalHead>? SignJournal { get; init; }
}

/// <summary>One sweep from the opening of its place to its result, for the command line and the daemon alike.</summary>
/// <param name="order">What is done.</param>
/// <param name="store">The records it is added to; null for none.</param>
/// <param name="time">The clocks.</param>
/// <param name="log">The program's log.</param>
internal sealed class SweepWork(SweepOrder order, RunStore? store, TimeProvider time, ILogger log)
{
    /// <summary>Does it, on the thread that calls.</summary>
    /// <param name="signals">How a person ends it.</param>
    /// <param name="begun">Called once the guard has allowed it, before the first cycle; gives who is told how it goes.</param>
    /// <returns>The result, and that of the run as found where this one is as left.</returns>
    /// <exception cref="RefusedException">It was refused before any pressure.</exception>
    public (RunResult Result, RunResult? AsFound) Do(OperatorSignals signals, Func<SweepRun, RunRecord, IRunWatcher> begun)
    {
        SweepJob job = order.Job.Each(WithOwnPrior);
        using ISweepPlace place = order.Open(time.GetUtcNow(), line => log.LogInformation("{Line}", line));
        DateTimeOffset startedUtc = time.GetUtcNow();
        long startMicros = place.NowMicros;
        using var telemetry = new TelemetryWatcher(job, startedUtc, startMicros);
        var watchers = new List<IRunWatcher> { telemetry, new LogWatcher(log) };
        var run = new SweepRun(job, place.Bench, startedUtc, startMicros, watchers);
        run.Begin(startMicros);
        RunRecord header = run.Record(startMicros);
        using StoreWatcher? keeper = store is null ? null : new StoreWatcher(store, header);
        if (keeper is not null)
            watchers.Add(keeper);
        StoreWatcher[] besides = store is null ? [] : [.. run.RecordsBeside(startMicros).Select(other => new StoreWatcher(store, other))];
        run.WatchersBeside = besides;
        watchers.Insert(0, begun(run, header));

        RunRecord record = place.Pass(run, signals);
        if (place.JournalEnd is { } end)
            order.SignJournal?.Invoke(end);
        RunResult result = RunEvaluation.Evaluate(record);
        order.Folder?.Write(result);
        keeper?.End(record);
        RunResult? asFound = store is null ? null : JobText.AsFoundBefore(store, record);
        if (order.Job.Laboratory is { } laboratory && record.Outcome == RunOutcome.Completed)
            order.Folder?.Write(CertificateDesk.Draft(store, laboratory, asFound, result));
        Beside = [.. run.RecordsBeside(place.NowMicros).Select(other => RunEvaluation.Evaluate(other with { EndedUtc = record.EndedUtc, JournalHead = record.JournalHead }))];
        for (int i = 0; i < Beside.Count; i++)
            Keep(Beside[i], i < besides.Length ? besides[i] : null);
        return (result, asFound);
    }

    /// <summary>The results of the devices beside the leading one, once it is done.</summary>
    public IReadOnlyList<RunResult> Beside { get; private set; } = [];

    private void Keep(RunResult result, StoreWatcher? keeper)
    {
        RunFolder? folder = order.Folder?.Of(result.Record.Device.Name);
        folder?.Write(result);
        keeper?.End(result.Record);
        keeper?.Dispose();
        if (order.Job.Laboratory is { } laboratory && result.Record.Outcome == RunOutcome.Completed)
            folder?.Write(CertificateDesk.Draft(store, laboratory, null, result));
    }

    /// <summary>A rule that weighs what is known of a device takes the device's own history, where that is long enough; what a job agreed stays.</summary>
    private SweepJob WithOwnPrior(SweepJob job) => store is null || job.Job is not null
        ? job
        : job with
        {
            Device = job.Device with { Decision = HistoryPrior.Of(job.Device.Decision, store.ErrorsOf(DeviceIdentity.Of(job.Device)), job.Simulated) },
        };
}
