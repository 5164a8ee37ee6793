namespace Barostep.Safety;

/// <summary>Every number that the kernel compares with. Immutable; a change needs a new start of the guard.</summary>
/// <remarks>
/// SR-nn names the requirement that a default comes from; <em>trade practice</em> marks a default that no document
/// gives. Shares of span are of the difference between the effective ceiling and the atmosphere.
/// </remarks>
public sealed record SafetyLimits
{
    private const long Second = 1_000_000;
    private const long Millisecond = 1_000;

    /// <summary>Finds the weakest part in each direction and fills in the defaults.</summary>
    /// <param name="contributions">At least one ceiling and one floor; the first of equals governs.</param>
    /// <param name="atmosphere">The pressure around the bench, absolute.</param>
    /// <param name="maxRateMilliPascalsPerSecond">The slowest rate that any part demands, above zero.</param>
    /// <exception cref="ArgumentException">No ceiling, no floor, or the atmosphere is not between them.</exception>
    public SafetyLimits(
        IReadOnlyList<LimitContribution> contributions,
        Pressure atmosphere,
        long maxRateMilliPascalsPerSecond)
    {
        ArgumentNullException.ThrowIfNull(contributions);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(maxRateMilliPascalsPerSecond);
        Contributions = contributions;
        CeilingGovernedBy = LowestCeiling(contributions);
        FloorGovernedBy = HighestFloor(contributions);
        EffectiveCeiling = CeilingGovernedBy.Ceiling.GetValueOrDefault();
        EffectiveFloor = FloorGovernedBy.Floor.GetValueOrDefault();
        Atmosphere = atmosphere;
        MaxRateMilliPascalsPerSecond = maxRateMilliPascalsPerSecond;
        if (EffectiveCeiling <= atmosphere || EffectiveFloor >= atmosphere)
            throw new ArgumentException(
                $"The ceiling {EffectiveCeiling} ({CeilingGovernedBy.Origin}) must lie above the atmosphere {atmosphere} " +
                $"and the floor {EffectiveFloor} ({FloorGovernedBy.Origin}) below it; otherwise a vented bench would be outside its limits.",
                nameof(contributions));

        long span = (EffectiveCeiling - atmosphere).MilliPascals;
        SetPointMargin = new(span / 50);
        AgreementTolerance = new(span / 200);
        NearBand = new(span / 100);
        StrayBand = new(span / 50);
    }

    public IReadOnlyList<LimitContribution> Contributions { get; }

    /// <summary>The contribution with the lowest ceiling.</summary>
    public LimitContribution CeilingGovernedBy { get; }

    /// <summary>The contribution with the highest floor.</summary>
    public LimitContribution FloorGovernedBy { get; }

    /// <summary>A trip at or above this, on any valid sensor (SR-03). A person may lower it while running.</summary>
    public Pressure EffectiveCeiling { get; }

    /// <summary>A trip at or below this, on any valid sensor (SR-03).</summary>
    public Pressure EffectiveFloor { get; }

    public Pressure Atmosphere { get; }

    /// <summary>Fastest change that any part stands; more than 1.2 times this trips (SR-20).</summary>
    public long MaxRateMilliPascalsPerSecond { get; }

    /// <summary>No set point nearer to the ceiling than this is sent. Default 2 % of span (SR-04); raise it to 1.5 times the measured overshoot where that is more.</summary>
    public PressureDifference SetPointMargin { get; init; }

    /// <summary>Largest difference of the two sensors. Default 0.5 % of span (SR-08); raise it to 3 U where that is more.</summary>
    public PressureDifference AgreementTolerance { get; init; }

    /// <summary>Pairs in succession beyond the tolerance that trip. Default 3 (SR-08).</summary>
    public int DisagreeingPairs { get; init; } = 3;

    /// <summary>Nearer to the set point than this, no progress is asked for: a controller lands slowly. Default 1 % of span (trade practice).</summary>
    public PressureDifference NearBand { get; init; }

    /// <summary>How far the pressure may go the wrong way (overshoot, warming gas after a vent) before that trips. Default 2 % of span (trade practice).</summary>
    public PressureDifference StrayBand { get; init; }

    /// <summary>Age at which the reference's reading stops renewing the lease and holds. Default 200 ms: one missed answer at 20 Hz and 9600 baud, and one late cycle (trade practice).</summary>
    public long ReferenceLateAfterMicros { get; init; } = 200 * Millisecond;

    /// <summary>Age at which it trips, T_age of SR-15. Default 300 ms: 2 × 50 ms + 37 ms + 150 ms of jitter of a shared process.</summary>
    public long ReferenceStaleAfterMicros { get; init; } = 300 * Millisecond;

    /// <summary>As for the reference, for the source's own sensor at 5 Hz. Default 800 ms (trade practice).</summary>
    public long SourceLateAfterMicros { get; init; } = 800 * Millisecond;

    /// <summary>Age at which the source counts as out of reach. Default 1.2 s (trade practice).</summary>
    public long SourceStaleAfterMicros { get; init; } = 1_200 * Millisecond;

    /// <summary>Identical raw answers of the reference, more than which are a frozen sensor. Default 20 (SR-18); 0, no test, where its resolution is not finer than its noise.</summary>
    public int ReferenceFrozenAfter { get; init; } = 20;

    /// <summary>As for the reference, for the source's own sensor. Default 20 (SR-18).</summary>
    public int SourceFrozenAfter { get; init; } = 20;

    /// <summary>How long permission to hold or make pressure lasts without renewal. Default 150 ms, the most that SR-12 allows.</summary>
    public long LeaseMicros { get; init; } = 150 * Millisecond;

    /// <summary>How far ahead the present rate is followed to see whether a limit would be reached. Default 292 ms: the reaction time at 9600 baud (D.2, C.4).</summary>
    public long HorizonMicros { get; init; } = 292 * Millisecond;

    /// <summary>Shortest base over which a rate is taken, so that noise does not look like one. Default 400 ms (trade practice).</summary>
    public long RateBaseMicros { get; init; } = 400 * Millisecond;

    /// <summary>Least time of a hold. Default 2 s (D.2).</summary>
    public long HoldAtLeastMicros { get; init; } = 2 * Second;

    /// <summary>Holds allowed for one set point. Default 3 (D.2).</summary>
    public int HoldsPerSetPoint { get; init; } = 3;

    /// <summary>Age at which a sequencer's intent has lapsed. Default 300 ms: 150 ms of D.5 and the jitter of a shared process.</summary>
    public long IntentLapsesAfterMicros { get; init; } = 300 * Millisecond;

    /// <summary>Longest time between two cycles. Default 300 ms, as the age of a reading (H16).</summary>
    public long LongestGapMicros { get; init; } = 300 * Millisecond;

    /// <summary>Step between wall clock and monotonic clock that is a step. Default 500 ms (H19).</summary>
    public long WallStepMillis { get; init; } = 500;

    /// <summary>Within this a vent, dump or isolate must be acknowledged. Default 300 ms: SR-23's 100 ms and two exchanges already on the line at 9600 baud.</summary>
    public long VentAcknowledgedWithinMicros { get; init; } = 300 * Millisecond;

    /// <summary>Within this any other command must be acknowledged. Default 1 s (trade practice).</summary>
    public long CommandAcknowledgedWithinMicros { get; init; } = 1 * Second;

    /// <summary>A read-back asked for sooner after a command than this proves nothing. Default 2 s (trade practice).</summary>
    public long ReadBackLagMicros { get; init; } = 2 * Second;

    /// <summary>Largest difference of a read-back from what was sent. Default 1 kPa (trade practice).</summary>
    public PressureDifference ReadBackTolerance { get; init; } = new(1_000_000);

    /// <summary>What the source's own upper limit was set to; null where it has none (SR-05).</summary>
    public Pressure? SourceUpperLimit { get; init; }

    /// <summary>Window in which pressure must follow a command. Default 2 s, T_gain of SR-19.</summary>
    public long ResponseWithinMicros { get; init; } = 2 * Second;

    /// <summary>Share of the commanded change that must be seen in that window. Default 20 % (SR-19).</summary>
    public int ResponsePercent { get; init; } = 20;

    /// <summary>Time constant of the vent, τ_v = V/(C·0.997) (C.6). Default 1 s; set it per bench.</summary>
    public long VentTimeConstantMicros { get; init; } = 1 * Second;

    /// <summary>Time between a vent's decision and its first sight in a reading. Default 1 s (trade practice).</summary>
    public long VentLagMicros { get; init; } = 1 * Second;

    /// <summary>Both sensors within this of the atmosphere are depressurised. Default 1 kPa (SR-26); add the sensors' uncertainty.</summary>
    public PressureDifference SafeBand { get; init; } = new(1_000_000);

    /// <summary>For this long. Default 5 s (SR-26, SR-30).</summary>
    public long SafeAfterMicros { get; init; } = 5 * Second;

    /// <summary>Time that the relay and its dump valve take to follow the keep-alive. Default 1 s: T_wd of 500 ms, twice (D.5).</summary>
    public long RelayFollowsWithinMicros { get; init; } = 1 * Second;

    /// <summary>Pressure of the dump valve's test, above atmosphere; at most 5 % of span (SR-34). 0, no test, where no relay is fitted or so little pressure could not be told from none.</summary>
    public PressureDifference SelfTestRise { get; init; }

    /// <summary>Age at which a test no longer lets a run begin. Default 10 min (SR-34).</summary>
    public long SelfTestValidMicros { get; init; } = 600 * Second;

    /// <summary>The fastest rise that a fill could make, wide open, at the smallest volume (r_max of C.3). Above 1.25 times that the volume is below 0.8 of what the file says (SR-20). 0, no test, where it is not known.</summary>
    public long FastestFillMilliPascalsPerSecond { get; init; }

    private static LimitContribution LowestCeiling(IReadOnlyList<LimitContribution> contributions)
    {
        LimitContribution? lowest = null;
        foreach (LimitContribution one in contributions)
        {
            if (one.Ceiling is { } ceiling && (lowest?.Ceiling is not { } least || ceiling < least))
                lowest = one;
        }

        return lowest ?? throw new ArgumentException("No part, person or rule sets a ceiling; at least one must.", nameof(contributions));
    }

    private static LimitContribution HighestFloor(IReadOnlyList<LimitContribution> contributions)
    {
        LimitContribution? highest = null;
        foreach (LimitContribution one in contributions)
        {
            if (one.Floor is { } floor && (highest?.Floor is not { } most || floor > most))
                highest = one;
        }

        return highest ?? throw new ArgumentException("No part, person or rule sets a floor; at least one must.", nameof(contributions));
    }
}
