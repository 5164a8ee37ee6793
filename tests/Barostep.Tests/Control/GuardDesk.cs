using Barostep.Configuration;
using Barostep.Control;
using Barostep.Instruments;
using Barostep.Safety;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Control;

/// <summary>
/// A guard half between two hand-made lines and a watched journal, on one clock. Whatever is asked of a line goes out
/// at once, as it does where a pump is woken by the request, so that the order of sending and writing can be seen.
/// </summary>
internal sealed class GuardDesk
{
    public const long CycleMicros = 50_000;
    private const long TickMicros = 1_000;

    private readonly GuardHalf _guard;
    private readonly InstrumentDriver _source;
    private readonly InstrumentDriver _reference;
    private long _nextCycle;
    private uint _sequence;

    public GuardDesk()
    {
        BenchDefinition bench = ShippedConfiguration.Load().Configuration.Benches["gauge"];
        Source = new HandMadeController(Gas, Order);
        Reference = new HandMadeReference(Gas, Order);
        Journal = new WatchedJournal(Order);
        _source = new InstrumentDriver(bench.Source! with { SerialNumber = null });
        _reference = new InstrumentDriver(bench.Reference with { SerialNumber = null });
        _guard = new GuardHalf(
            Limits, SafetyState.Initial, _source, _reference, CycleMicros, new SafetyJournal(Journal, JournalHead.Genesis, wasLeftOpen: false));
        _source.Requested += () => Pump(_source, Source);
        _reference.Requested += () => Pump(_reference, Reference);
    }

    /// <summary>17 bar gauge of ceiling, 0.5 bar/s.</summary>
    public static SafetyLimits Limits { get; } = new(
        [new("hose", Gauge(17), Pressure.FromPascals(50_000), "benches/gauge.toml:12:1")], Pressure.StandardAtmosphere, 50_000_000)
    {
        SourceUpperLimit = Gauge(17),
    };

    public List<string> Order { get; } = [];

    public HandMadeGas Gas { get; } = new();

    public HandMadeController Source { get; }

    public HandMadeReference Reference { get; }

    public WatchedJournal Journal { get; }

    public long Now { get; private set; } = 1_000_000;

    public BenchSnapshot Snapshot { get; private set; }

    public IntentKind Wants { get; set; } = IntentKind.Vent;

    public double TargetBar { get; set; }

    /// <summary>Shown to the guard in the next cycle, once.</summary>
    public PersonRequest Person { get; set; }

    public static Pressure Gauge(double bar) => Pressure.StandardAtmosphere + PressureDifference.FromPascals(bar * 1e5);

    /// <summary>A desk whose bench is verified depressurised and whose source is set up.</summary>
    public static GuardDesk Safe()
    {
        var desk = new GuardDesk();
        desk.Until(d => d.Snapshot.Phase == GuardPhase.Safe, 15);
        return desk.Run(1);
    }

    /// <summary>A desk that holds a pressure.</summary>
    public static GuardDesk Holding(double bar)
    {
        GuardDesk desk = Safe();
        desk.Ask(bar);
        desk.Until(d => Math.Abs(d.Gas.Bar - bar) < 1e-3, 60).Run(1);
        Assert.Equal(Verdict.None, desk.Snapshot.Verdict);
        return desk;
    }

    public void Ask(double bar) => (Wants, TargetBar) = (IntentKind.Pressurise, bar);

    /// <summary>The guard stands still from now on.</summary>
    public void StopCycling() => _nextCycle = long.MaxValue;

    /// <summary>Until after the next cycle.</summary>
    public GuardDesk Cycle()
    {
        long tick = Snapshot.Tick;
        return Until(d => d.Snapshot.Tick > tick, 1);
    }

    public GuardDesk Run(double seconds)
    {
        for (long end = Now + (long)(seconds * 1e6); Now < end;)
            Advance();
        return this;
    }

    public GuardDesk Until(Func<GuardDesk, bool> done, double withinSeconds)
    {
        for (long end = Now + (long)(withinSeconds * 1e6); !done(this);)
        {
            Assert.True(Now < end, $"not within {withinSeconds} s: {Snapshot.Phase}, {Snapshot.Causes}, first {Snapshot.FirstCause}, {Gas.Bar:0.000} bar, {Gas.Mode}, {Snapshot.LineFault}");
            Advance();
        }

        return this;
    }

    private void Advance()
    {
        Now += TickMicros;
        Gas.Flow(TickMicros / 1e6);
        Pump(_source, Source);
        Pump(_reference, Reference);
        if (Now < _nextCycle)
            return;
        _nextCycle = Now + CycleMicros;
        var intent = new Intent(1, ++_sequence, Wants, Gauge(TargetBar), 50_000_000, Now);
        PersonRequest person = Person;
        Person = PersonRequest.None;
        Order.Add("cycle");
        Snapshot = _guard.Cycle(new CycleClock(Now, 1_790_000_000_000 + (Now / 1000)), intent, person);
    }

    private void Pump(InstrumentDriver driver, HandMadeLine line)
    {
        line.NowMicros = Now;
        // Again for a reply that is there at once, and for what it lets go first.
        for (int i = 0; i < 4; i++)
            driver.Advance(Now, line);
    }
}
