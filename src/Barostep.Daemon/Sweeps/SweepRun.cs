using System.Collections.Immutable;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Output;
using Barostep.Procedures;
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
    private readonly SafetyJournal _journal;
    private readonly long _startMicros;
    private readonly DateTimeOffset _startedUtc;
    private RunSession? _session;

    public SweepRun(
        SweepJob job,
        SafetyJournal journal,
        SafetyState start,
        DateTimeOffset startedUtc,
        long startMicros,
        IReadOnlyList<IRunWatcher> watchers)
    {
        _job = job;
        _journal = journal;
        _watchers = watchers;
        _startMicros = startMicros;
        _startedUtc = startedUtc;
        SafetyLimits limits = BenchSafety.LimitsFor(job.Bench, job.Device, job.Origins);
        Bench = new Bench(job.Bench, limits, start, journal);
        _recorder = new RunRecorder(Header(limits));
        OpenJournal(limits, start);
    }

    public Bench Bench { get; }

    public bool Ended => _session?.Ended ?? false;

    /// <summary>The record as it stands.</summary>
    public RunRecord Record(long nowMicros) => _recorder.Record(WallAt(nowMicros), _journal.Head.Hash) with
    {
        Instruments = Bench.Lines.ToDictionary(line => line.Fitted.Port, line => line.IdentityText),
    };

    /// <summary>One cycle.</summary>
    public void Cycle(long nowMicros, in PersonRequest person, bool confirmed, bool diskLow = false)
    {
        _session ??= Bench.Begin(
            RunPlan.For(_job.Procedure, _job.Device, Bench.Limits.Atmosphere), nowMicros);
        var clock = new CycleClock(nowMicros, WallAt(nowMicros).ToUnixTimeMilliseconds(), DiskLow: diskLow);
        ImmutableList<RunEvent> events = Bench.Cycle(clock, person, confirmed);
        _recorder.Watch(Bench.Snapshot);
        foreach (RunEvent happened in events)
        {
            _recorder.Take(happened);
            foreach (IRunWatcher watcher in _watchers)
                watcher.Happened(happened);
        }

        RunProgress progress = _session.Progress(Bench.Snapshot);
        foreach (IRunWatcher watcher in _watchers)
            watcher.Cycle(Bench.Snapshot, progress);
    }

    /// <summary>Closes the journal in an orderly way and gives the record; to be called once, after the last cycle.</summary>
    public RunRecord Finish(long nowMicros)
    {
        JournalStamp stamp = StampAt(nowMicros);
        string outcome = _recorder.Ending?.Outcome.ToString() ?? "none";
        _journal.Write(stamp, new RunEndPayload(_job.RunId, outcome));
        _journal.Write(stamp, new StopPayload("the run ended", _recorder.Ending?.VentConfirmed ?? false));
        _journal.RequestFlush();
        return Record(nowMicros);
    }

    private void OpenJournal(SafetyLimits limits, SafetyState start)
    {
        JournalStamp stamp = StampAt(_startMicros);
        new JournalOpening(_job.Bench.Name, 1, _job.Simulated).Write(_journal, stamp, limits, start);
        _journal.Write(stamp, new RunStartPayload(_job.RunId, _job.Device.Name, _job.Procedure.Name, Environment.UserName));
        _journal.RequestFlush();
    }

    private JournalStamp StampAt(long nowMicros) => new(nowMicros, WallAt(nowMicros).ToUnixTimeMilliseconds());

    private DateTimeOffset WallAt(long nowMicros) => _startedUtc.AddTicks((nowMicros - _startMicros) * 10);

    private RunRecord Header(SafetyLimits limits) => new()
    {
        Id = _job.RunId,
        StartedUtc = _startedUtc,
        EndedUtc = _startedUtc,
        Bench = _job.Bench.Name,
        Device = _job.Device,
        Procedure = _job.Procedure,
        Instruments = new Dictionary<string, string>(),
        Simulated = _job.Simulated,
        Outcome = RunOutcome.Incomplete,
        OutcomeReason = string.Empty,
        VentConfirmed = false,
        Zeros = [],
        Points = [],
        CeilingPascals = limits.EffectiveCeiling.Pascals,
        HighestPascals = 0,
        AtmospherePascals = limits.Atmosphere.Pascals,
        JournalHead = string.Empty,
        SoftwareVersion = ProgramVersion.Text,
    };
}
