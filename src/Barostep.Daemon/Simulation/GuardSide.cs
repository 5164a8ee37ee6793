using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Guard;
using Barostep.Instruments;
using Barostep.Lines.GuardLine;
using Barostep.Lines.Journals;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation;

/// <summary>The guard's process: it can be started, stopped, killed, paused, and can hang while its lines go on.</summary>
internal sealed class GuardSide(World world) : IDisposable
{
    private IReadOnlyList<InstrumentDriver> _drivers = [];
    private EmbeddedLines? _lines;
    private SafetyJournal? _journal;
    private GuardHalf? _half;
    private GuardBody? _body;
    private long _nextCycleMicros;
    private long _pausedUntilMicros;
    private long _hangsUntilMicros;

    public bool IsUp => _body is not null;

    /// <summary>Where clients leave what they want; a new one with each start.</summary>
    public GuardDesk Desk { get; private set; } = new();

    /// <summary>What it told last.</summary>
    public BenchSnapshot Last { get; private set; }

    /// <summary>When its newest cycle ended, in the bench's time.</summary>
    public long LastCycleMicros { get; private set; }

    public SafetyState State => _half?.State ?? SafetyState.Initial;

    public bool JournalFailed => _journal?.HasFailed ?? false;

    /// <summary>Reports that nobody took in time.</summary>
    public long DroppedReports { get; private set; }

    /// <summary>When it wants to go on, in the bench's time.</summary>
    public long NextMicros
    {
        get
        {
            if (!IsUp)
                return long.MaxValue;
            long cycle = Math.Max(_hangsUntilMicros, world.Clock.BenchTimeAt(_nextCycleMicros));
            long line = world.Clock.BenchTimeAt(_lines!.NextCallMicros);
            return Math.Max(_pausedUntilMicros, Math.Min(cycle, Math.Min(line, _lines.NextDeliveryMicros)));
        }
    }

    /// <summary>Starts it on what is on the disk. A journal that is damaged before its end is put away by a person.</summary>
    public void Start()
    {
        JournalRecovery? found = world.Disk.Recover();
        bool usable = found is { MayContinue: true };
        SafetyState start = world.Seams.Start(usable ? found!.RestartState : SafetyState.Initial);
        bool leftOpen = world.Seams.WasLeftOpen(found is not null && (!usable || !found.EndsCleanly || !found.LatchIsKnown));
        JournalHead after = usable ? found!.Head : JournalHead.Genesis;
        _journal = new SafetyJournal(world.Seams.Journal(world.Disk.Create(), world), after, leftOpen, start.TripNumber);
        SafetyLimits limits = world.Seams.Limits(world.Setup.BareLimits);
        new JournalOpening(world.Setup.Bench.Name, world.Disk.Files.Count, Simulated: true).Write(_journal, StampNow(), limits, start);
        var source = new InstrumentDriver(world.Setup.Bench.Source!);
        var reference = new InstrumentDriver(world.Setup.Bench.Reference);
        var relay = new InstrumentDriver(world.Setup.Bench.DumpValve!);
        _drivers = [relay, source, reference];
        _lines = world.Connect(_drivers);
        _half = new GuardHalf(limits, start, source, reference, world.Setup.Bench.PeriodMicros, _journal, relay);
        Desk = new GuardDesk();
        Last = default;
        _body = new GuardBody(_half, source, reference, _journal, world.Disk.Files.Count, Desk, Take, People.InTheRoleSafety);
        _nextCycleMicros = world.MonotonicMicros;
        _pausedUntilMicros = 0;
        _hangsUntilMicros = 0;
        world.GuardStarted(wasLeftOpen: found is not null && (!usable || !found.EndsCleanly));
    }

    /// <summary>Stops it in an orderly way.</summary>
    public void Stop()
    {
        _journal!.Write(StampNow(), new StopPayload("the guard was stopped", Last.Depressurised));
        _journal.RequestFlush();
        _journal.Dispose();
        Leave();
    }

    /// <summary>It is gone from one instruction to the next.</summary>
    public void Kill()
    {
        if (IsUp)
            Leave();
    }

    public void Pause(long untilMicros) => _pausedUntilMicros = Math.Max(_pausedUntilMicros, untilMicros);

    public void Hang(long untilMicros) => _hangsUntilMicros = Math.Max(_hangsUntilMicros, untilMicros);

    /// <summary>Wakes it from every pause.</summary>
    public void Resume() => _pausedUntilMicros = _hangsUntilMicros = 0;

    public bool IsStopped => world.NowMicros < Math.Max(_pausedUntilMicros, _hangsUntilMicros);

    /// <summary>Does what is due.</summary>
    public void Advance()
    {
        if (!IsUp || world.NowMicros < _pausedUntilMicros)
            return;
        long now = world.MonotonicMicros;
        _lines!.Advance(now);
        if (now < _nextCycleMicros || world.NowMicros < _hangsUntilMicros)
            return;
        world.Seams.BeforeCycle(world);
        var clock = new CycleClock(now, world.WallMillis, world.Clock.TakeSuspended(), world.Disk.IsLow);
        _body!.Step(world.Seams.Clock(clock, world), now - _nextCycleMicros);
        LastCycleMicros = world.NowMicros;
        world.GuardCycled(Last);
        _lines.Advance(now);
        _nextCycleMicros = Math.Max(_nextCycleMicros + world.Setup.Bench.PeriodMicros, now + 1);
    }

    private void Take(ReadOnlySpan<byte> record)
    {
        if (!SnapshotRecord.TryRead(record, out SnapshotRecord told))
            throw new InvalidOperationException("the guard told what its own reader does not understand");
        Last = world.Seams.Snapshot(told.Bench);
    }

    /// <summary>Lets go of the journal, as nobody reads it any more.</summary>
    public void Dispose() => _journal?.Dispose();

    private void Leave()
    {
        DroppedReports += _drivers.Sum(driver => driver.DroppedReports);
        _lines!.Leave();
        _lines = null;
        _half = null;
        _body = null;
        _journal = null;
    }

    private JournalStamp StampNow() => new(world.MonotonicMicros, world.WallMillis);
}
