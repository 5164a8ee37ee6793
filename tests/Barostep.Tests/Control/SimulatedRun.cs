using Barostep.Configuration;
using Barostep.Control;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;
using Barostep.Simulators.Wire;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Control;

/// <summary>A run of the shipped demo bench against the simulated one, in memory, on virtual time.</summary>
internal sealed class SimulatedRun : IDisposable
{
    private readonly RunPlan _plan;
    private readonly (InstrumentDriver Driver, IByteLine Line)[] _lines;
    private readonly long[] _deadlines;
    private readonly MemoryJournalFile _journal = new();
    private readonly RunRecorder _recorder;
    private RunSession? _session;
    private long _nextCycle;

    public SimulatedRun(Procedure? procedure = null, ulong seed = 1)
    {
        WorkshopConfiguration workshop = ShippedConfiguration.Load().Configuration;
        BenchDefinition definition = workshop.Benches["demo"];
        DeviceDefinition device = workshop.Devices["transmitter-16bar"];
        Procedure by = procedure ?? Short(workshop.Procedures["five-point"]);
        SafetyLimits limits = BenchSafety.LimitsFor(definition, device, workshop.Origins);
        Bench = new Bench(definition, limits, SafetyState.Initial, new SafetyJournal(_journal, JournalHead.Genesis, wasLeftOpen: false));
        _plan = RunPlan.For(by, device, limits.Atmosphere);
        Simulated = SimulatedBench.Load("demo", seed);
        _lines = [.. Bench.Lines.Select(driver => (driver, (IByteLine)new SimulatedLine(Simulated.Port(driver.Fitted.Port))))];
        _deadlines = new long[_lines.Length];
        _recorder = new RunRecorder(Header(definition, device, by, limits));
        Simulated.SampleTruth(10_000, truth => HighestTruePascals = Math.Max(HighestTruePascals, truth.PressurePa));
    }

    public Bench Bench { get; }

    public SimulatedBench Simulated { get; }

    public double HighestTruePascals { get; private set; }

    public RunPhase Phase => _session?.Progress(Bench.Snapshot).Phase ?? RunPhase.Idle;

    public bool Ended => _session?.Ended ?? false;

    public PersonRequest Person { get; set; }

    public RunRecord Record => _recorder.Record(DateTimeOffset.UnixEpoch, "head");

    public void Dispose() => _journal.Dispose();

    public IReadOnlyList<JournalEntry> Journal => [.. new JournalReader(new MemoryStream(_journal.Contents.ToArray())).ReadAll()];

    public List<RunProgress> Progress { get; } = [];

    /// <summary>Three points up and down with everything that a run can hold, in a few simulated minutes.</summary>
    public static Procedure Short(Procedure full) => full with
    {
        PointsOfSpan = [0, 0.5, 1],
        Preloads = 1,
        PreloadHoldMicros = 2_000_000,
        RateOfSpanPerSecond = 0.03,
        LeakTest = new LeakTest(0.8, 10_000_000, 6_000_000, 0.05),
        Samples = 3,
        Settle = full.Settle with { BandOfSpan = 0.001, WindowMicros = 2_000_000, MinimumDwellMicros = 3_000_000, SlopeOfSpanPerSecond = 0.0003 },
    };

    public SimulatedRun ToTheEnd() => Until(r => r.Ended, 1_800);

    public SimulatedRun Run(double seconds)
    {
        for (long end = Simulated.NowMicros + (long)(seconds * 1e6); Simulated.NowMicros < end;)
            Advance();
        return this;
    }

    /// <summary>The lines go on, and neither half of the bench is called.</summary>
    public SimulatedRun RunLines(double seconds)
    {
        _nextCycle = Simulated.NowMicros + (long)(seconds * 1e6) + 1;
        return Run(seconds);
    }

    public SimulatedRun Until(Func<SimulatedRun, bool> done, double withinSeconds)
    {
        for (long end = Simulated.NowMicros + (long)(withinSeconds * 1e6); !done(this);)
        {
            Assert.True(Simulated.NowMicros < end, $"not within {withinSeconds} s: {Phase}, {Bench.Snapshot.Phase}, {Bench.Snapshot.Causes}");
            Advance();
        }

        return this;
    }

    /// <summary>What the journal is told of the run.</summary>
    public static RunStartPayload Title { get; } = new("run 1", "device", "procedure", "workshop");

    private void Advance()
    {
        long now = Math.Max(Simulated.NowMicros, Math.Min(_nextCycle, Math.Min(Simulated.NextEventMicros, _deadlines.Min())));
        Simulated.AdvanceTo(now);
        AdvanceLines(now);
        if (now < _nextCycle)
            return;
        _session ??= Bench.Begin(_plan, Title, new JournalStamp(now, 1_790_000_000_000 + (now / 1000)));
        PersonRequest person = Person;
        Person = PersonRequest.None;
        foreach (RunEvent happened in Bench.Cycle(new CycleClock(now, 1_790_000_000_000 + (now / 1000)), person, confirmed: true))
            _recorder.Take(happened);
        _recorder.Watch(Bench.Snapshot);
        Progress.Add(_session.Progress(Bench.Snapshot));
        AdvanceLines(now);
        _nextCycle = now + Bench.Definition.PeriodMicros;
    }

    private void AdvanceLines(long now)
    {
        for (int i = 0; i < _lines.Length; i++)
            _deadlines[i] = _lines[i].Driver.Advance(now, _lines[i].Line);
    }

    private static RunRecord Header(BenchDefinition bench, DeviceDefinition device, Procedure procedure, SafetyLimits limits) => new()
    {
        Id = "run-1",
        StartedUtc = DateTimeOffset.UnixEpoch,
        EndedUtc = DateTimeOffset.UnixEpoch,
        Bench = bench.Name,
        Device = device,
        Procedure = procedure,
        Instruments = new Dictionary<string, string>(),
        Simulated = true,
        Outcome = RunOutcome.Incomplete,
        OutcomeReason = string.Empty,
        VentConfirmed = false,
        Zeros = [],
        Points = [],
        CeilingPascals = limits.EffectiveCeiling.Pascals,
        HighestPascals = 0,
        AtmospherePascals = limits.Atmosphere.Pascals,
        JournalHead = string.Empty,
        SoftwareVersion = "test",
    };

    private sealed class SimulatedLine(SimulatedPort port) : IByteLine
    {
        public bool IsOpen => port.Connected;

        public int Receive(Span<byte> buffer) => port.HostRead(buffer);

        public bool Send(ReadOnlySpan<byte> bytes)
        {
            if (port.Connected)
                port.HostWrite(bytes);
            return port.Connected;
        }
    }
}
