using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>
/// A closed-loop controller, a reference at 20 Hz and 9600 baud, and a sequencer, played by hand in steps of 50 ms,
/// around the kernel. Faults are put on the observation just before the kernel sees it.
/// </summary>
internal sealed class Rig
{
    public const long TickMicros = 50_000;

    private readonly Queue<(long At, Decision Command)> _wire = new();
    private readonly List<(long At, double Pascals)> _history = [];
    private Decision _obeyed;
    private SensorReading _source = SensorReading.NoneYet;
    private SourceReport _sourceReport = new() { LineUp = true };
    private ulong _noise = 1;
    private SafetyState _state;

    public Rig(SafetyLimits? limits = null, SafetyState state = default)
    {
        Limits = limits ?? Bench();
        _state = state;
        Pascals = Limits.Atmosphere.Pascals;
    }

    public static Pressure Atmosphere => Pressure.FromPascals(100_000);

    public SafetyLimits Limits { get; }

    public long Now { get; private set; } = 1_000_000;

    public long Tick { get; private set; }

    /// <summary>The true pressure.</summary>
    public double Pascals { get; set; }

    public double LeakPascalsPerSecond { get; set; }

    public double VentSeconds { get; init; } = 0.8;

    public bool SourceSensorFitted { get; init; } = true;

    public bool RelayFitted { get; init; } = true;

    /// <summary>Whether the dump valve opens when its relay lets go; its contact says so either way.</summary>
    public bool DumpOpens { get; set; } = true;

    /// <summary>Counts starts of the sequencer.</summary>
    public uint Epoch { get; set; } = 1;

    /// <summary>How fast the controller lands: the share of the remaining distance that it covers in a second.</summary>
    public double LandingSeconds { get; init; } = 0.7;

    public bool Deaf { get; set; }

    public IntentKind Wants { get; set; } = IntentKind.None;

    public Pressure Target { get; set; } = Atmosphere;

    public long Rate { get; set; } = 20_000_000;

    public PersonRequest Person { get; set; }

    public Func<Observation, Observation>? Fault { get; set; }

    public Observation Seen { get; private set; }

    public Decision Decision { get; private set; }

    public ref readonly SafetyState State => ref _state;

    public List<Cause> EverSeen { get; } = [];

    /// <summary>16 bar gauge of ceiling, 0.5 bar/s.</summary>
    public static SafetyLimits Bench(double ceilingPascals = 1_700_000) => new(
        [
            new("operator", Pressure.FromPascals(ceilingPascals), null, "bench.toml:3"),
            new("hose", Pressure.FromPascals(4_000_000), Pressure.FromPascals(50_000), "bench.toml:9"),
        ],
        Atmosphere,
        50_000_000);

    public static Pressure Gauge(double pascals) => Atmosphere + PressureDifference.FromPascals(pascals);

    /// <summary>A rig whose bench is verified depressurised.</summary>
    public static Rig Safe(SafetyLimits? limits = null)
    {
        var rig = new Rig(limits);
        rig.Until(d => d.Phase == GuardPhase.Safe, 20);
        return rig;
    }

    /// <summary>A rig that regulates at 5 bar gauge.</summary>
    public static Rig Pressurised(SafetyLimits? limits = null)
    {
        Rig rig = Safe(limits);
        rig.Ask(Gauge(500_000));
        rig.Until(_ => rig.Pascals > 598_000, 60);
        rig.Run(4);
        Assert.Equal(Verdict.None, rig.Decision.Verdict);
        return rig;
    }

    /// <summary>A rig at 0.6 bar gauge, where its dump valve is tested.</summary>
    public static Rig AtTestPressure()
    {
        Rig rig = Safe(Bench() with { SelfTestRise = PressureDifference.FromPascals(60_000) });
        rig.Ask(Gauge(60_000));
        rig.Until(_ => rig.Pascals > 158_000, 30);
        rig.Run(1);
        return rig;
    }

    public void Ask(Pressure target)
    {
        Wants = IntentKind.Pressurise;
        Target = target;
    }

    public Decision Run(double seconds)
    {
        for (int i = 0; i < (int)Math.Round(seconds * 20); i++)
            Step();
        return Decision;
    }

    public Decision Until(Func<Decision, bool> done, double withinSeconds)
    {
        for (int i = 0; i < (int)(withinSeconds * 20); i++)
        {
            Step();
            if (done(Decision))
                return Decision;
        }

        Assert.Fail($"Not within {withinSeconds} s. Phase {Decision.Phase}, action {Decision.Action}, causes {Decision.Causes}, latched {Decision.Latched}, {Pascals:0} Pa.");
        return Decision;
    }

    public Decision Step()
    {
        Now += TickMicros;
        Tick++;
        Flow(TickMicros / 1e6);
        _history.Add((Now, Pascals));
        Seen = Observe();
        if (Fault is not null)
            Seen = Fault(Seen);
        Person = PersonRequest.None;
        Decision = SafetyKernel.Decide(_state, Seen, Limits, out _state);
        foreach (Cause cause in Decision.Causes)
        {
            if (!EverSeen.Contains(cause))
                EverSeen.Add(cause);
        }

        if (!Deaf)
            _wire.Enqueue((Now + 150_000, Decision));
        return Decision;
    }

    private void Flow(double seconds)
    {
        while (_wire.TryPeek(out (long At, Decision Command) one) && one.At <= Now)
        {
            _obeyed = one.Command;
            _wire.Dequeue();
        }

        double atmosphere = Limits.Atmosphere.Pascals;
        switch (_obeyed.Action)
        {
            case SafetyAction.Control:
                double landing = (_obeyed.SetPoint.Pascals - Pascals) / LandingSeconds;
                double most = _obeyed.RateMilliPascalsPerSecond / 1000.0;
                Pascals += Math.Clamp(landing, -most, most) * seconds;
                break;
            case SafetyAction.Vent:
                double fall = (atmosphere - Pascals) / VentSeconds;
                double limit = _obeyed.RateMilliPascalsPerSecond / 1000.0;
                Pascals += Math.Clamp(fall, -limit, limit) * seconds;
                break;
            case SafetyAction.Dump or SafetyAction.Rest:
                Pascals += (atmosphere - Pascals) * (1 - Math.Exp(-seconds / VentSeconds));
                break;
            case SafetyAction.Isolate when RelayFitted && DumpOpens && !_obeyed.KeepAlive:
                Pascals += (atmosphere - Pascals) * (1 - Math.Exp(-seconds / VentSeconds));
                break;
            case SafetyAction.Isolate:
                break;
        }

        Pascals -= LeakPascalsPerSecond * seconds;
    }

    private Observation Observe()
    {
        SensorReading reference = ReadingAsked(Now - 60_000 - (Tick % 3 * 15_000), Tick);
        if (SourceSensorFitted && Tick % 4 == 0)
            _source = ReadingAsked(Now - 80_000, Tick);
        if (Tick % 20 == 0)
        {
            _sourceReport = _sourceReport with
            {
                Mode = _obeyed.Action switch
                {
                    SafetyAction.Control => SourceMode.Controlling,
                    SafetyAction.Isolate => SourceMode.Measuring,
                    _ => SourceMode.Venting,
                },
                ModeAskedAtMicros = Now - 100_000,
                SetPoint = _obeyed.SetPoint,
                SetPointKnown = _obeyed.Action == SafetyAction.Control,
                SetPointAskedAtMicros = Now - 100_000,
            };
        }

        return new Observation
        {
            Tick = Tick,
            NowMicros = Now,
            WallMillis = 1_790_000_000_000 + (Now / 1000),
            Reference = reference,
            SourceSensor = SourceSensorFitted ? _source : SensorReading.NotFitted,
            Source = _sourceReport,
            Relay = new RelayReport { Fitted = RelayFitted, FeedbackKnown = RelayFitted, DumpShut = RelayFitted && _obeyed.KeepAlive },
            Person = Person,
            Intent = new Intent(Epoch, (uint)Tick, Wants, Target, Rate, Now),
        };
    }

    /// <summary>What a sensor with 3 Pa of noise and 0.1 Pa of resolution answers to a question asked at that time.</summary>
    private SensorReading ReadingAsked(long askedAtMicros, long count)
    {
        int at = _history.Count - 1;
        while (at > 0 && _history[at].At > askedAtMicros + 30_000)
            at--;
        double then = _history[at].Pascals;

        _noise = (_noise * 6_364_136_223_846_793_005) + 1_442_695_040_888_963_407;
        double disturbed = then + ((_noise >> 40) / (double)(1 << 24) * 10) - 5;
        double rounded = Math.Round(disturbed, 1);
        return new SensorReading(
            ReadingQuality.Good, Pressure.FromPascals(rounded), askedAtMicros, askedAtMicros + 37_000, (ulong)(rounded * 10), count);
    }
}
