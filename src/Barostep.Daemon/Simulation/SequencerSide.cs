using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Lines;
using Barostep.Lines.GuardLine;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation;

/// <summary>The daemon's process: it asks the guard for runs, owns the multimeter, and keeps what is read.</summary>
internal sealed class SequencerSide(World world)
{
    private readonly GuardPost _post = new(world);
    private EmbeddedLines? _lines;
    private Bench? _bench;
    private SweepRun? _run;
    private Procedure? _asked;
    private long _pausedUntilMicros;
    private long _seenTick = -1;
    private PersonRequest _wish;
    private bool _isGivenUp;

    public bool IsUp { get; private set; }

    /// <summary>Whether a run is asked for or going on.</summary>
    public bool IsBusy => _asked is not null || _run is not null;

    /// <summary>Where the run stands; idle while there is none.</summary>
    public RunPhase Phase => _run is null ? RunPhase.Idle : _bench!.Session!.Progress(_bench.Snapshot).Phase;

    /// <summary>What is shown to people: the newest snapshot that this process has seen.</summary>
    public BenchSnapshot Shown => _bench?.Snapshot ?? default;

    public Intent Wanted => _bench?.Session?.Intent ?? default;

    public bool IsStopped => world.NowMicros < _pausedUntilMicros;

    /// <summary>When it wants to go on, in the bench's time. A new snapshot calls for it as well.</summary>
    public long NextMicros => !IsUp || _lines is null
        ? long.MaxValue
        : Math.Max(_pausedUntilMicros, Math.Min(world.Clock.BenchTimeAt(_lines.NextCallMicros), _lines.NextDeliveryMicros));

    /// <summary>Whether a snapshot waits to be looked at.</summary>
    public bool HasNews => IsUp && _run is not null && !IsStopped && world.Guard.IsUp && world.Guard.Last.Tick != _seenTick;

    public void Start()
    {
        IsUp = true;
        _pausedUntilMicros = 0;
        _lines = null;
        Connect();
        _run = null;
        _asked = null;
        _wish = PersonRequest.None;
        _seenTick = -1;
        world.Guard.Desk.TryBecomeSequencer();
    }

    public void Kill()
    {
        if (!IsUp)
            return;
        IsUp = false;
        _lines!.Leave();
        _lines = null;
        _bench = null;
        _run = null;
        _asked = null;
        world.Guard.Desk.LeaveAsSequencer();
    }

    public void Pause(long untilMicros) => _pausedUntilMicros = Math.Max(_pausedUntilMicros, untilMicros);

    public void Resume() => _pausedUntilMicros = 0;

    /// <summary>A person starts a run.</summary>
    public void Ask(Procedure procedure)
    {
        if (!IsUp || IsStopped || !world.Guard.IsUp || IsBusy)
            return;
        _asked = procedure;
        _post.AskForRun(world.NextRunId(), procedure.Name);
    }

    /// <summary>A person's wish to end the run, passed on with its next cycle and to the guard at once.</summary>
    public void Stop(bool atOnce)
    {
        if (!IsUp || IsStopped)
            return;
        if (_run is null)
            world.AskVent(atOnce);
        else
            _wish = atOnce ? PersonRequest.Dump : PersonRequest.Stop;
    }

    /// <summary>Does what is due.</summary>
    public void Advance()
    {
        if (!IsUp || IsStopped)
            return;
        long now = world.MonotonicMicros;
        _lines!.Advance(now);
        if (_asked is not null)
            BeginWhereAnswered(now);
        if (!HasNews)
        {
            GiveUpWhereGuardIsSilent(now);
            return;
        }

        _seenTick = world.Guard.Last.Tick;
        PersonRequest wish = _wish;
        _wish = PersonRequest.None;
        _run!.Cycle(now, wish, confirmed: true);
        world.Guard.Desk.Leave(world.Seams.Intent(_bench!.Session!.Intent));
        _lines.Advance(now);
        if (_run.Ended)
            End(now);
    }

    private void BeginWhereAnswered(long now)
    {
        if (_post.Answer is not { } answer)
        {
            if (!world.Guard.IsUp)
                _asked = null;
            return;
        }

        Procedure procedure = _asked!;
        _asked = null;
        if (!answer.Accepted)
            return;
        SweepJob job = world.Setup.JobOf(procedure, world.RunId);
        _run = new SweepRun(
            job with { Procedure = world.Seams.Procedure(procedure) }, _bench!, world.Clock.WallAt(world.NowMicros), now, [new EventWatcher(world)]);
        _run.Begin(now);
        world.RunBegan(job);
    }

    private void GiveUpWhereGuardIsSilent(long now)
    {
        if (_run is null || !_post.IsLost(now))
            return;
        _isGivenUp = true;
        _run.GiveUp("the guard has ended or stopped telling what it sees; NOT confirmed that the bench was vented", ventConfirmed: false);
        End(now);
    }

    private void End(long now)
    {
        RunRecord record = _run!.Finish(now);
        _run = null;
        // A run that was given up has not ended for its bench.
        if (_isGivenUp)
            Connect();
        world.RunEnded(world.Seams.Record(record));
    }

    private void Connect()
    {
        _lines?.Leave();
        _isGivenUp = false;
        _bench = new Bench(world.Setup.Bench, world.Setup.Limits, _post);
        _lines = world.Connect(_bench.Lines);
    }

    private sealed class EventWatcher(World world) : IRunWatcher
    {
        public void Cycle(in BenchSnapshot bench, in RunProgress progress)
        {
        }

        public void Happened(RunEvent happened) => world.Happened(happened);
    }
}
