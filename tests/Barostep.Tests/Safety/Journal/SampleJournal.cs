using Barostep.Safety;

namespace Barostep.Tests.Safety.Journal;

/// <summary>A short journal of a workshop's bench, made as the guard makes one.</summary>
internal sealed class SampleJournal
{
    public const long Period = 50_000;
    public const long WallStart = 1_764_063_000_000;

    public static readonly SafetyLimits Limits = new(
        [
            new LimitContribution("hose \"grün\"", Pressure.FromMilliPascals(1_301_325_000), Pressure.Vacuum, "bench.toml:14"),
            new LimitContribution("operator", Pressure.FromMilliPascals(731_325_000), Pressure.FromMilliPascals(80_000_000), "bench.toml:3"),
        ],
        Pressure.StandardAtmosphere,
        50_000_000)
    {
        SourceUpperLimit = Pressure.FromMilliPascals(750_000_000),
    };

    private readonly List<byte> _bytes = [];
    private SafetyState _state = SafetyState.Initial;

    public SampleJournal(JournalHead? after = null) => Chain = new JournalChain(after ?? JournalHead.Genesis);

    public JournalChain Chain { get; }

    public byte[] Bytes => [.. _bytes];

    public static OpenPayload Opening(int file, bool freshStart = true) => new(
        "barostep 0.1.0", new string('a', 64), "heating-workshop", new string('b', 64), "workshop-2", "boot-1", file, freshStart, Simulated: true);

    public static JournalStamp StampOf(long tick) => new(tick * Period, WallStart + (tick * Period / 1000));

    /// <summary>A ramp by 10 kPa a cycle, as both sensors tell it.</summary>
    public static Observation Seen(long tick)
    {
        SensorReading reading = new(
            ReadingQuality.Good, Pressure.FromMilliPascals(101_325_000 + (tick * 10_000_000)), (tick * Period) - 40_000, (tick * Period) - 3_000, (ulong)tick * 0x9E3779B97F4A7C15, tick);
        return new Observation
        {
            Tick = tick,
            NowMicros = tick * Period,
            WallMillis = StampOf(tick).WallMillis,
            Reference = reading,
            SourceSensor = reading with { RawHash = ~reading.RawHash },
            Source = new SourceReport { LineUp = true, Mode = SourceMode.Controlling, ModeAskedAtMicros = tick * Period },
            Relay = new RelayReport { Fitted = true },
            Intent = new Intent(1, (uint)tick, IntentKind.Pressurise, Pressure.FromMilliPascals(600_000_000), 40_000_000, tick * Period),
        };
    }

    public SampleJournal Begin(int file = 1)
    {
        Append(0, Opening(file));
        Append(0, new LimitsPayload("I. Kowalska", "start of shift", Limits));
        return Append(0, new StatePayload(_state));
    }

    public SampleJournal Ticks(long from, int count)
    {
        for (long tick = from; tick < from + count; tick++)
        {
            Observation seen = Seen(tick);
            Decision decision = SafetyKernel.Decide(_state, seen, Limits, out SafetyState next);
            _state = next;
            _bytes.AddRange(Chain.AppendTick(seen, decision).Span);
        }

        return this;
    }

    /// <summary>A cycle whose decision is as the caller says.</summary>
    public SampleJournal Tick(long tick, Func<RecordedDecision, RecordedDecision> altered)
    {
        Observation seen = Seen(tick);
        Decision decision = SafetyKernel.Decide(_state, seen, Limits, out SafetyState next);
        _state = next;
        _bytes.AddRange(Chain.AppendTick(seen, altered(RecordedDecision.Of(decision))).Span);
        return this;
    }

    public SampleJournal State(long tick) => Append(tick, new StatePayload(_state));

    public SampleJournal Append(long tick, JournalPayload payload)
    {
        _bytes.AddRange(Chain.Append(StampOf(tick), payload).Span);
        return this;
    }

    /// <summary>One entry of each kind.</summary>
    public static SampleJournal OfAllKinds() => new SampleJournal()
        .Begin()
        .Append(0, new RunStartPayload("r-17", "pump-station transmitter", "ten points", "I. Kowalska"))
        .Append(0, new RaisePayload(Pressure.FromMilliPascals(600_000_000), 40_000_000, "step 1 of 10"))
        .Ticks(1, 3)
        .Append(3, new CeilingPayload(Pressure.FromMilliPascals(731_325_000), Pressure.FromMilliPascals(500_000_000), "I. Kowalska", "old hose"))
        .Append(3, new TripPayload(1, Cause.OverCeiling, Pressure.FromMilliPascals(500_100_000), SafetyAction.Dump))
        .Append(3, new AcknowledgePayload(1, "I. Kowalska", "valve replaced"))
        .Append(3, new RunEndPayload("r-17", "tripped"))
        .Append(3, new NotePayload(4, "I. Kowalska", "line\nfeed, \"quote\", \u0007 and zażółć"))
        .Append(3, new GapPayload(12, "disk full"))
        .Append(4, new StopPayload("end of shift", VentConfirmed: true))
        .Append(4, new RotatePayload(2));

    public static JournalReader Reader(byte[] bytes, JournalHead? after = null) => new(new MemoryStream(bytes), after);
}
