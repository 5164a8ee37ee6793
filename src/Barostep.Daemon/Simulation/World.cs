using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Simulation.Checkers;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Daemon.Sweeps;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Simulation;

/// <summary>
/// The shipped program on one thread and virtual time: a guard's process and a daemon's process on one computer with one
/// disk, against the simulated bench over its lines, from one seed, with faults, and watched by checkers that see the truth.
/// </summary>
/// <remarks>
/// At one time the order is: the bench, faults, people, guard, daemon. Every choice is drawn from the seed, so that two
/// worlds of one seed and one list of faults are the same to the last bit; <see cref="Trace"/> shows it.
/// </remarks>
internal sealed class World
{
    /// <summary>A world that has not come to its end by now does not live (µs of bench time).</summary>
    public const long LongestMicros = 400_000_000;

    /// <summary>Period at which the true state is looked at, µs.</summary>
    public const long TruthMicros = 10_000;

    private const int StandsStill = 50;

    private readonly IReadOnlyList<Checker> _checkers;
    private readonly List<RunRecord> _records = [];
    private BenchState _state;
    private int _runs;

    /// <param name="setup">The bench.</param>
    /// <param name="seed">Seed of every noise and chance in it.</param>
    /// <param name="faults">What goes wrong.</param>
    /// <param name="checkers">Who looks on.</param>
    /// <param name="seams">What is changed between the parts; nothing but in tests.</param>
    public World(WorldSetup setup, ulong seed, IReadOnlyList<PlannedFault> faults, IReadOnlyList<Checker> checkers, Seams seams)
    {
        Setup = setup;
        Seams = seams;
        Random = new Pcg32(seed, 7);
        Simulated = new SimulatedBench(setup.Simulated, seed);
        Disk = new SimulatedDisk(() => NowMicros, new Pcg32(seed, 9));
        Guard = new GuardSide(this);
        Sequencer = new SequencerSide(this);
        Faults = new FaultSchedule(faults, this);
        People = new People(this);
        _checkers = checkers;
        foreach (Checker checker in checkers)
            checker.Attach(this);
        Simulated.SampleTruth(TruthMicros, Sample);
    }

    public WorldSetup Setup { get; }

    public Seams Seams { get; }

    public Pcg32 Random { get; }

    public SimulatedBench Simulated { get; }

    public SimulatedDisk Disk { get; }

    public WorldClock Clock { get; } = new();

    public GuardSide Guard { get; }

    public SequencerSide Sequencer { get; }

    public FaultSchedule Faults { get; }

    public People People { get; }

    public TraceHash Trace { get; } = new();

    /// <summary>Bench time, µs from the start.</summary>
    public long NowMicros => Simulated.NowMicros;

    public long MonotonicMicros => Clock.MonotonicAt(NowMicros);

    public long WallMillis => Clock.WallAt(NowMicros).ToUnixTimeMilliseconds();

    public BenchState State => _state;

    public TrueState Truth => Simulated.Truth;

    /// <summary>The highest that the gas has been, Pa absolute.</summary>
    public double HighestTruePascals { get; private set; }

    /// <summary>The runs that have ended, oldest first.</summary>
    public IReadOnlyList<RunRecord> Records => _records;

    /// <summary>Writes to serial lines so far, and the one that fails, counted from 1; 0 for none.</summary>
    public long Writes { get; private set; }

    public long FailingWrite { get; set; }

    public string RunId { get; private set; } = string.Empty;

    /// <summary>When the computer stood still last.</summary>
    public long PausedMicros { get; set; }

    /// <summary>Who looks on.</summary>
    public IReadOnlyList<Checker> Checkers => _checkers;

    /// <summary>The first violation of each invariant.</summary>
    public IReadOnlyList<Violation> Violations => [.. _checkers.Select(checker => checker.Found).OfType<Violation>()];

    /// <summary>Runs it to its end.</summary>
    public void Run()
    {
        Guard.Start();
        Sequencer.Start();
        int standing = 0;
        while (!People.AreDone && NowMicros < LongestMicros)
        {
            long next = Math.Min(Math.Min(Guard.NextMicros, Sequencer.NextMicros), Math.Min(Faults.NextMicros, People.NextMicros));
            standing = next > NowMicros ? 0 : standing + 1;
            // Bytes that wait on a line that nobody may read must not hold the time up.
            next = Math.Max(next, standing > StandsStill ? NowMicros + 1_000 : NowMicros);
            Simulated.AdvanceTo(next);
            Faults.Advance();
            People.Advance();
            Guard.Advance();
            Sequencer.Advance();
        }

        foreach (Checker checker in _checkers)
            checker.Over();
    }

    /// <summary>Lets go of what the world holds; nothing of it can be read afterwards.</summary>
    public void Release()
    {
        Guard.Dispose();
        Disk.Release();
    }

    /// <summary>Puts the lines of a process together.</summary>
    public EmbeddedLines Connect(IReadOnlyList<InstrumentDriver> drivers)
    {
        // Opening a port throws away what lay in it.
        Span<byte> stale = stackalloc byte[256];
        foreach (InstrumentDriver driver in drivers)
        {
            while (Simulated.Port(driver.Fitted.Port).HostRead(stale) > 0)
            {
            }
        }

        return new EmbeddedLines(drivers, Simulated, (driver, port) => Seams.Line(port.Name, new WatchedLine(port, this), this));
    }

    /// <summary>Something is done to the bench, in the words of its fault lines.</summary>
    public void Inject(string faultLine) => Simulated.Inject($"fault {faultLine}");

    /// <summary>The guard's process is killed; what it had not handed to the system is gone.</summary>
    public void KillGuard()
    {
        if (!Guard.IsUp)
            return;
        Guard.Kill();
        Disk.LoseProcess();
    }

    /// <summary>Somebody asks for a vent.</summary>
    public void AskVent(bool atOnce)
    {
        PersonRequestKind kind = atOnce ? PersonRequestKind.Dump : PersonRequestKind.Stop;
        if (!Guard.IsUp)
            return;
        Tell(checker => checker.VentAsked(atOnce));
        if (Seams.Hears(kind))
            Guard.Desk.Vent(atOnce);
    }

    public string NextRunId() => RunId = $"run {++_runs}";

    internal bool WriteFails() => ++Writes == FailingWrite;

    internal void Sent(string port, ReadOnlySpan<byte> bytes)
    {
        Trace.Add(NowMicros);
        Trace.Add(bytes);
        foreach (Checker checker in _checkers)
            checker.Sent(port, bytes);
    }

    internal void Heard(string port, ReadOnlySpan<byte> bytes)
    {
        Trace.Add(NowMicros);
        Trace.Add(bytes);
        foreach (Checker checker in _checkers)
            checker.Heard(port, bytes);
    }

    internal void GuardStarted(bool wasLeftOpen) => Tell(checker => checker.GuardStarted(wasLeftOpen));

    internal void GuardCycled(in BenchSnapshot told)
    {
        Trace.Add(((long)told.Phase << 56) ^ (long)told.Causes.Bits);
        _state = BenchStates.Of(told.Phase, Sequencer.Phase);
        Faults.Observe(_state);
        foreach (Checker checker in _checkers)
            checker.GuardCycled(told);
    }

    internal void RunBegan(SweepJob job) => Tell(checker => checker.RunBegan(job));

    internal void Happened(RunEvent happened) => Tell(checker => checker.Happened(happened));

    internal void RunEnded(RunRecord record)
    {
        _records.Add(record);
        Tell(checker => checker.RunEnded(record));
        People.RunEnded(record);
    }

    internal void FaultBegan(PlannedFault fault) => Tell(checker => checker.FaultBegan(fault));

    private void Sample(TrueState truth)
    {
        Trace.Add(truth.PressurePa);
        HighestTruePascals = Math.Max(HighestTruePascals, truth.PressurePa);
        foreach (Checker checker in _checkers)
            checker.Look(truth);
    }

    private void Tell(Action<Checker> what)
    {
        foreach (Checker checker in _checkers)
            what(checker);
    }
}
