using System.Collections.Immutable;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Output;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>Someone who is told how a run goes; called on the thread of the control cycle, so it must not wait.</summary>
internal interface IRunWatcher
{
    void Cycle(in BenchSnapshot bench, in RunProgress progress);

    void Happened(RunEvent happened);
}

/// <summary>One run on one bench, from its first cycle to its record; the two ways of passing time share it.</summary>
internal sealed class SweepRun
{
    private readonly SweepJob _job;
    private readonly IReadOnlyList<IRunWatcher> _watchers;
    private readonly RunRecorder _recorder;
    private readonly RunRecorder[] _beside;
    private readonly long _startMicros;
    private readonly DateTimeOffset _startedUtc;
    private RunSession? _session;
    private string _journalHead = string.Empty;

    public SweepRun(
        SweepJob job,
        Bench bench,
        DateTimeOffset startedUtc,
        long startMicros,
        IReadOnlyList<IRunWatcher> watchers)
    {
        _job = job;
        _watchers = watchers;
        _startMicros = startMicros;
        _startedUtc = startedUtc;
        Bench = bench;
        _recorder = new RunRecorder(Header(job, bench.Limits));
        _beside = [.. job.Beside.Select(other => new RunRecorder(Header(other, bench.Limits)))];
    }

    public Bench Bench { get; }

    public bool Ended => _session?.Ended ?? false;

    /// <summary>The record as it stands.</summary>
    public RunRecord Record(long nowMicros) => _recorder.Record(WallAt(nowMicros), _journalHead) with
    {
        Instruments = Bench.Identities,
    };

    /// <summary>The records of the devices beside the leading one as they stand.</summary>
    public IReadOnlyList<RunRecord> RecordsBeside(long nowMicros) =>
        [.. _beside.Select(recorder => recorder.Record(WallAt(nowMicros), _journalHead) with { Instruments = Bench.Identities })];

    /// <summary>Who is told of the devices beside the leading one, in their order; empty for nobody.</summary>
    public IReadOnlyList<IRunWatcher> WatchersBeside { get; set; } = [];

    /// <summary>Begins: nothing is asked for before the first cycle.</summary>
    /// <exception cref="RefusedException">The guard does not allow the run.</exception>
    public void Begin(long nowMicros) => _session = Bench.Begin(
        RunPlan.For(_job.Procedure, _job.Device, [.. _job.Beside.Select(other => other.Device)], Bench.Limits.Atmosphere, _job.Bench),
        new RunStartPayload(_job.RunId, _job.DevicesNamed, _job.Procedure.Name, _job.PerformedBy.Length == 0 ? Environment.UserName : _job.PerformedBy),
        StampAt(nowMicros));

    /// <summary>One cycle.</summary>
    /// <param name="nowMicros">Now.</param>
    /// <param name="person">What a person asks of the guard, shown once.</param>
    /// <param name="confirmed">Whatever the procedure wants confirmed is confirmed.</param>
    /// <param name="diskLow">Less free space than the journal needs.</param>
    public void Cycle(long nowMicros, in PersonRequest person, bool confirmed, bool diskLow = false) =>
        Cycle(nowMicros, person, confirmed, null, diskLow);

    /// <summary>One cycle, with what a person answered since the last one; null where nobody did.</summary>
    public void Cycle(long nowMicros, in PersonRequest person, PersonAnswer? answer) => Cycle(nowMicros, person, confirmed: false, answer, diskLow: false);

    private void Cycle(long nowMicros, in PersonRequest person, bool confirmed, PersonAnswer? answer, bool diskLow)
    {
        var clock = new CycleClock(nowMicros, WallAt(nowMicros).ToUnixTimeMilliseconds(), DiskLow: diskLow);
        ImmutableList<RunEvent> events = Bench.Cycle(clock, person, confirmed, answer);
        foreach (RunRecorder recorder in _beside.Prepend(_recorder))
            recorder.Watch(Bench.Snapshot);
        foreach (RunEvent happened in events)
            Tell(happened);

        if (_watchers.Count == 0)
            return;
        RunProgress progress = _session!.Progress(Bench.Snapshot);
        foreach (IRunWatcher watcher in _watchers)
            watcher.Cycle(Bench.Snapshot, progress);
    }

    /// <summary>Ends a run that nobody can go on with.</summary>
    public void GiveUp(string reason, bool ventConfirmed)
    {
        Tell(new RunEvent.Ended(RunOutcome.InstrumentFailure, reason, ventConfirmed));
    }

    private void Tell(RunEvent happened)
    {
        if (happened is RunEvent.Beside other)
        {
            _beside[other.Device].Take(other.Happened);
            if (other.Device < WatchersBeside.Count)
                WatchersBeside[other.Device].Happened(other.Happened);
            return;
        }

        _recorder.Take(happened);
        foreach (IRunWatcher watcher in _watchers)
            watcher.Happened(happened);
        // How the run ends and what the room is are every device's.
        foreach (RunRecorder recorder in _beside.Where(_ => happened is RunEvent.Ended or RunEvent.RoomRead))
            recorder.Take(happened);
        foreach (IRunWatcher watcher in WatchersBeside.Where(_ => happened is RunEvent.RoomRead))
            watcher.Happened(happened);
    }

    /// <summary>Tells the journal that the run has ended and gives the record; to be called once, after the last cycle.</summary>
    public RunRecord Finish(long nowMicros)
    {
        string outcome = _recorder.Ending?.Outcome.ToString() ?? "none";
        _journalHead = Bench.End(new RunEndPayload(_job.RunId, outcome), StampAt(nowMicros));
        return Record(nowMicros);
    }

    private JournalStamp StampAt(long nowMicros) => new(nowMicros, WallAt(nowMicros).ToUnixTimeMilliseconds());

    private DateTimeOffset WallAt(long nowMicros) => _startedUtc.AddTicks((nowMicros - _startMicros) * 10);

    private RunRecord Header(SweepJob job, SafetyLimits limits) => new()
    {
        Id = job.RunId,
        StartedUtc = _startedUtc,
        EndedUtc = _startedUtc,
        Bench = job.Bench.Name,
        Device = job.Device,
        Procedure = job.Procedure,
        Instruments = new Dictionary<string, string>(),
        Simulated = job.Simulated,
        Outcome = RunOutcome.Incomplete,
        OutcomeReason = string.Empty,
        VentConfirmed = false,
        Zeros = [],
        Points = [],
        Standards = job.Standards,
        Job = job.Job,
        PerformedBy = job.PerformedBy,
        // Where a barometer is fitted, nothing else says what the atmosphere was.
        Environment = job.Bench.BarometerLine is null
            ? job.Environment
            : [.. job.Environment.Select(reading => reading with { AtmospherePascals = null })],
        Arrangement = job.Bench.Arrangement with
        {
            SharedWith = [.. _job.Beside.Prepend(_job).Where(other => other.RunId != job.RunId).Select(other => new SharedRun(other.Device.Name, other.RunId))],
        },
        CeilingPascals = limits.EffectiveCeiling.Pascals,
        HighestPascals = 0,
        AtmospherePascals = limits.Atmosphere.Pascals,
        JournalHead = string.Empty,
        SoftwareVersion = ProgramVersion.Text,
    };
}
