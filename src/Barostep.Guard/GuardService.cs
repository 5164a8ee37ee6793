using Barostep.Control;
using Barostep.Instruments;
using Barostep.Lines;
using Barostep.Lines.Journals;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>Guards one bench from its start-up to its stop.</summary>
/// <remarks>
/// Order of a start (SR-32): lock, relay off, ports, identify, isolate and dump, verify safe, ready. The kernel begins in
/// a phase that counts as pressurised, and only its proofs lead on.
/// </remarks>
internal sealed class GuardService(GuardFiles files, GuardOptions options, StopSignals signals, FactLog facts, TimeProvider time)
{
    /// <summary>Longest time from the first wish to stop until the dump valve is let go (SR-35).</summary>
    private const long StopMicros = 25_000_000;

    /// <summary>Time for what the last wish says to reach the lines.</summary>
    private const long LastWordMicros = 1_000_000;

    private readonly GuardDesk _desk = new();
    private GuardPhase _phase;
    private CauseSet _causes;
    private long _stopSinceMicros;
    private int _wishesShown;
    private bool _isOverdue;
    private bool _confirmed;
    private bool _isOver;

    /// <summary>Runs to the stop.</summary>
    /// <returns>Whether the bench was verified depressurised then.</returns>
    public bool Run()
    {
        using FileStream held = files.TakeLock();
        (SafetyJournal journal, int fileNumber, SafetyState start, string tornTail) = JournalFolder.Open(files.JournalFolder);
        using SafetyJournal closing = journal;
        SafetyLimits limits = BenchSafety.LimitsFor(files.Bench, null, files.Origins);
        new JournalOpening(files.Bench.Name, fileNumber, options.Simulated, files.BenchHash).Write(journal, StampNow(), limits, start);
        if (tornTail.Length > 0)
        {
            journal.Write(StampNow(), new NotePayload(0, "guard", tornTail));
            facts.Tell(tornTail);
        }

        if (journal.WasLeftOpen)
            facts.Tell("the last stop was not an orderly one: latched until somebody acknowledges it");

        InstrumentDriver? source = files.Bench.Source is { } made ? new InstrumentDriver(made) : null;
        var reference = new InstrumentDriver(files.Bench.Reference);
        InstrumentDriver? relay = files.Bench.DumpValve is { } valve ? new InstrumentDriver(valve) : null;
        using var loop = new CycleLoop(files.Bench.PeriodMicros, time);
        foreach (InstrumentDriver driver in new[] { relay, source, reference }.OfType<InstrumentDriver>())
            loop.Add(driver, BenchLines.AddressOf(driver.Fitted, options.Ports), callsForCycle: driver != relay);
        var guard = new GuardHalf(limits, start, source, reference, files.Bench.PeriodMicros, journal, relay);

        using var disk = new DiskWatch(files.JournalFolder);
        using var manager = new ServiceManager(Environment.GetEnvironmentVariable("NOTIFY_SOCKET"));
        using var door = new GuardDoor(
            files.SocketPath, files.Bench.Name, new RunLimits(files.Config, files.Bench, files.BenchHash, options.Simulated), _desk, loop.Call, facts.Tell);
        var body = new GuardBody(guard, source, reference, journal, fileNumber, _desk, door.TellAll, files.SafetyPeople);
        var clock = new HostClock(time, () => disk.IsLow);
        signals.Heard += loop.Call;
        loop.Start();
        facts.Tell($"journal file {fileNumber} in {files.JournalFolder}");
        Console.Out.WriteLine("ready");
        loop.Run((now, late) => Cycle(body, manager, clock.At(now), late));
        signals.Heard -= loop.Call;

        journal.Write(StampNow(), new StopPayload("the guard was stopped", _confirmed));
        journal.RequestFlush();
        facts.Tell(_confirmed ? "stopped; the bench is depressurised" : "stopped; NOT confirmed that the bench is depressurised");
        return _confirmed;
    }

    private bool Cycle(GuardBody body, ServiceManager manager, in CycleClock clock, long lateMicros)
    {
        ShowWishes(manager, clock.NowMicros);
        BenchSnapshot bench = body.Step(clock, lateMicros);
        manager.AfterCycle(bench, clock.NowMicros);
        TellChange(bench);
        if (_stopSinceMicros == 0)
            return true;
        _confirmed = bench.Depressurised;
        return !_confirmed && !_isOver;
    }

    /// <summary>The first wish vents at the allowed rate; a second one, or the end of the time, lets everything go at once.</summary>
    private void ShowWishes(ServiceManager manager, long nowMicros)
    {
        int wishes = signals.Count;
        if (wishes > 0 && _stopSinceMicros == 0)
        {
            _stopSinceMicros = nowMicros;
            manager.Stop();
            facts.Tell("stopping: venting at the allowed rate");
        }

        bool isOverdue = _stopSinceMicros > 0 && nowMicros - _stopSinceMicros >= StopMicros;
        if (wishes > _wishesShown || isOverdue != _isOverdue)
            _desk.Vent(atOnce: wishes > 1 || isOverdue);
        _isOver = isOverdue && nowMicros - _stopSinceMicros >= StopMicros + LastWordMicros;
        (_wishesShown, _isOverdue) = (wishes, isOverdue);
    }

    private void TellChange(in BenchSnapshot bench)
    {
        if (bench.Phase == _phase && bench.Causes == _causes && bench.Tick > 1)
            return;
        (_phase, _causes) = (bench.Phase, bench.Causes);
        string fault = bench.LineFault is { } trouble ? $"; {trouble}" : string.Empty;
        facts.Tell($"phase {bench.Phase}, verdict {bench.Verdict}, causes {bench.Causes}, trip {bench.TripNumber}{fault}");
    }

    private JournalStamp StampNow() => new(time.NowMicros(), time.GetUtcNow().ToUnixTimeMilliseconds());
}
