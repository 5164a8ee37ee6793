namespace Barostep.Safety;

/// <summary>Whether the pressure, or what is asked of it, is within ceiling, floor and rate.</summary>
internal static class LimitChecks
{
    private const long MicrosPerSecond = 1_000_000;

    /// <summary>A limit reached on any sensor, inclusive. Age does not matter: an old reading over the ceiling is no better than a new one.</summary>
    public static CauseSet Level(in Observation seen, Pressure ceiling, Pressure floor) =>
        LevelOf(seen.Reference, ceiling, floor) | LevelOf(seen.SourceSensor, ceiling, floor);

    /// <summary>A limit that would be reached within the reaction time at the present rate.</summary>
    public static CauseSet Heading(in SensorReading reference, in SensorTrack track, Pressure ceiling, Pressure floor, SafetyLimits limits)
    {
        if (!reference.IsGood)
            return CauseSet.Empty;
        long ahead = Saturating.Scale(track.RateMilliPascalsPerSecond, limits.HorizonMicros, MicrosPerSecond);
        long value = Saturating.Add(reference.Value.MilliPascals, ahead);
        return CauseSet.Empty
            .WithIf(ahead > 0 && value >= ceiling.MilliPascals, Cause.HeadingOverCeiling)
            .WithIf(ahead < 0 && value <= floor.MilliPascals, Cause.HeadingUnderFloor);
    }

    /// <summary>Two readings in succession, since one wild one is a spike.</summary>
    public static CauseSet Rate(in SensorTrack track) => CauseSet.Empty
        .WithIf(track.TooFast >= 2, Cause.RateTooHigh)
        .WithIf(track.VolumeTooSmall >= 2, Cause.VolumeTooSmall);

    /// <summary>What an intent asks for, against the limits.</summary>
    public static CauseSet Proposal(in Intent intent, Pressure highest, Pressure floor) =>
        intent.Kind != IntentKind.Pressurise
            ? CauseSet.Empty
            : CauseSet.Empty
                .WithIf(intent.Target > highest, Cause.ProposalOverCeiling)
                .WithIf(intent.Target <= floor, Cause.ProposalUnderFloor)
                .WithIf(intent.RateMilliPascalsPerSecond <= 0, Cause.ProposalVoid);

    private static CauseSet LevelOf(in SensorReading reading, Pressure ceiling, Pressure floor) => CauseSet.Empty
        .WithIf(reading.IsGood && reading.Value >= ceiling, Cause.OverCeiling)
        .WithIf(reading.IsGood && reading.Value <= floor, Cause.UnderFloor);
}
