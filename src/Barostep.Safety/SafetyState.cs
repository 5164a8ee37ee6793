namespace Barostep.Safety;

/// <summary>Everything that the kernel remembers from one cycle to the next. A plain value: the journal can keep it, a test can write it.</summary>
public record struct SafetyState
{
    public GuardPhase Phase { get; set; }

    /// <summary>Causes that stay: see <see cref="Clearing"/>.</summary>
    public CauseSet Latched { get; set; }

    public Cause FirstCause { get; set; }

    public uint TripNumber { get; set; }

    /// <summary>A ceiling that a person lowered; ignored unless <see cref="CeilingIsLowered"/>.</summary>
    public Pressure LoweredCeiling { get; set; }

    public bool CeilingIsLowered { get; set; }

    /// <summary>Whether a cycle went before: the first has nothing to compare its clocks with.</summary>
    public bool HasRun { get; set; }

    public long Tick { get; set; }

    public long NowMicros { get; set; }

    public long WallMillis { get; set; }

    public uint IntentEpoch { get; set; }

    public uint IntentSequence { get; set; }

    /// <summary>What the source was last told to do, and since when.</summary>
    public SafetyAction Action { get; set; }

    public long ActionSinceMicros { get; set; }

    /// <summary>The approved set point; ignored unless <see cref="HasSetPoint"/>.</summary>
    public Pressure SetPoint { get; set; }

    public bool HasSetPoint { get; set; }

    public long SetPointSinceMicros { get; set; }

    public long RateMilliPascalsPerSecond { get; set; }

    /// <summary>The set point last accepted from an intent: what a hold interrupts.</summary>
    public Pressure Target { get; set; }

    public long LeaseUntilMicros { get; set; }

    public bool KeepAlive { get; set; }

    public long KeepAliveSinceMicros { get; set; }

    public bool Holding { get; set; }

    public long HoldUntilMicros { get; set; }

    public int Holds { get; set; }

    public bool SamplesVoid { get; set; }

    /// <summary>What is remembered of the reference.</summary>
    public SensorTrack Reference { get; set; }

    /// <summary>What is remembered of the source's own sensor.</summary>
    public SensorTrack SourceSensor { get; set; }

    /// <summary>Pairs of fresh readings in succession that differed too much.</summary>
    public int DisagreeingPairs { get; set; }

    /// <summary>The reports that made up the latest pair: a new pair needs a new one of each.</summary>
    public long PairedReferenceCount { get; set; }

    public long PairedSourceCount { get; set; }

    /// <summary>What is remembered of how the pressure follows a command, or of how it keeps still without one.</summary>
    public MotionTrack Motion { get; set; }

    /// <summary>What is remembered of a vent.</summary>
    public VentTrack Vent { get; set; }

    /// <summary>Whether every fitted sensor is within the safe band, and since when.</summary>
    public bool InBand { get; set; }

    /// <summary>Whether the latest cycle verified the bench depressurised.</summary>
    public bool Safe { get; set; }

    public long InBandSinceMicros { get; set; }

    /// <summary>Whether the dump valve passed its test since the latest trip, and when.</summary>
    public bool SelfTestPassed { get; set; }

    public long SelfTestedMicros { get; set; }

    /// <summary>Distance from atmosphere when the test let go of the valve, in millipascals.</summary>
    public long SelfTestFromGap { get; set; }

    /// <summary>The run (its intents' epoch) that was let above the test's pressure: it needs no second test, however long it takes.</summary>
    public uint ArmedEpoch { get; set; }

    /// <summary>When trips were acknowledged last.</summary>
    public ResetTrack Resets { get; set; }

    /// <summary>The state before the first cycle of a bench whose last stop was clean.</summary>
    public static SafetyState Initial => default;

    /// <summary>The state before the first cycle, given what was latched, and the ceiling that a person had lowered, when the guard last ran (SR-24).</summary>
    public static SafetyState AfterRestart(
        CauseSet latched, Cause firstCause, uint tripNumber, Pressure? loweredCeiling = null, ResetTrack resets = default) => new()
        {
            Latched = latched,
            FirstCause = firstCause,
            TripNumber = tripNumber,
            LoweredCeiling = loweredCeiling.GetValueOrDefault(),
            CeilingIsLowered = loweredCeiling is not null,
            Resets = resets,
        };
}

/// <summary>What is remembered of one sensor.</summary>
public record struct SensorTrack
{
    /// <summary>Whether a cycle went before, so that there is a count to compare with.</summary>
    public bool Started { get; set; }

    /// <summary>Whether it has ever answered well, and when that answer was asked for.</summary>
    public bool EverGood { get; set; }

    public long GoodAskedAtMicros { get; set; }

    /// <summary>When a sensor without any good answer was first waited for.</summary>
    public long WaitedSinceMicros { get; set; }

    public long Count { get; set; }

    public ulong RawHash { get; set; }

    /// <summary>Answers in succession with the same raw characters, after the first.</summary>
    public int Identical { get; set; }

    /// <summary>Older and newer base of the rate.</summary>
    public Pressure OlderValue { get; set; }

    public long OlderMicros { get; set; }

    public Pressure NewerValue { get; set; }

    public long NewerMicros { get; set; }

    public bool HasOlder { get; set; }

    public bool HasNewer { get; set; }

    /// <summary>Rate over at least the rate base; 0 until there is one.</summary>
    public long RateMilliPascalsPerSecond { get; set; }

    /// <summary>Reports in succession whose rate was too high.</summary>
    public int TooFast { get; set; }

    /// <summary>Reports in succession whose rise a bench with the stated volume could not have made.</summary>
    public int VolumeTooSmall { get; set; }
}

/// <summary>What is remembered of the pressure's answer to the present action.</summary>
public record struct MotionTrack
{
    public bool Started { get; set; }

    /// <summary>When the command was given.</summary>
    public long CommandedMicros { get; set; }

    /// <summary>When the present window of response began, and where pressure and set point were then.</summary>
    public long SinceMicros { get; set; }

    public Pressure From { get; set; }

    public Pressure Towards { get; set; }

    /// <summary>While regulating: the nearest that the pressure came to the set point, from the side that it started on.</summary>
    public Pressure Best { get; set; }

    /// <summary>While not regulating: the least distance from atmosphere so far, in millipascals.</summary>
    public long LeastGap { get; set; }

    /// <summary>Reports in succession that went astray, and the count of the latest one judged.</summary>
    public int Strays { get; set; }

    public long JudgedCount { get; set; }
}

/// <summary>The latest acknowledgements, as many as may be given within an hour without the role safety.</summary>
/// <param name="Known">How many there are, 3 at most.</param>
/// <param name="Latest">When the latest was, µs of the monotonic clock.</param>
/// <param name="Second">The one before.</param>
/// <param name="Third">The one before that.</param>
public record struct ResetTrack(int Known, long Latest, long Second, long Third)
{
    /// <summary>As many as are counted.</summary>
    public const int Most = 3;

    /// <summary>With one more.</summary>
    public readonly ResetTrack With(long nowMicros) => new(Math.Min(Known + 1, Most), nowMicros, Latest, Second);
}

/// <summary>What is remembered of the present vent.</summary>
public record struct VentTrack
{
    public bool Started { get; set; }

    public long SinceMicros { get; set; }

    /// <summary>Distance from atmosphere when it began, in millipascals.</summary>
    public long FromGap { get; set; }
}
