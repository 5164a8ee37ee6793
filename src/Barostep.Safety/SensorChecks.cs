namespace Barostep.Safety;

/// <summary>Whether the sensors can be believed: there, in time, not frozen, and of one mind.</summary>
internal static class SensorChecks
{
    private const long MicrosPerSecond = 1_000_000;

    /// <summary>Follows one sensor through one cycle.</summary>
    public static SensorTrack Follow(in SensorTrack track, in SensorReading reading, long nowMicros, bool frozenCounts, SafetyLimits limits)
    {
        SensorTrack next = track;
        if (!track.Started)
        {
            next.Started = true;
            next.WaitedSinceMicros = nowMicros;
        }
        else if (reading.Count == track.Count)
        {
            return next;
        }

        next.Count = reading.Count;
        if (!reading.IsGood)
            return next;

        bool same = track.EverGood && reading.RawHash == track.RawHash;
        next.Identical = same && frozenCounts ? Math.Min(track.Identical + 1, int.MaxValue - 1) : 0;
        next.RawHash = reading.RawHash;
        next.GoodAskedAtMicros = reading.AskedAtMicros;
        next.EverGood = true;
        FollowRate(ref next, reading, limits);
        return next;
    }

    /// <summary>How long ago the latest good answer was asked for; without any, how long one has been waited for.</summary>
    public static long AgeMicros(in SensorTrack track, long nowMicros) =>
        Saturating.Subtract(nowMicros, track.EverGood ? track.GoodAskedAtMicros : track.WaitedSinceMicros);

    /// <summary>Whether the newest report is good and in time.</summary>
    public static bool IsFresh(in SensorReading reading, in SensorTrack track, long nowMicros, long lateAfterMicros) =>
        reading.IsGood && track.EverGood && AgeMicros(track, nowMicros) <= lateAfterMicros;

    public static CauseSet OfReference(in Observation seen, in SensorTrack track, SafetyLimits limits)
    {
        long age = AgeMicros(track, seen.NowMicros);
        ReadingQuality quality = seen.Reference.Quality;
        return CauseSet.Empty
            .WithIf(quality == ReadingQuality.LineLost, Cause.ReferenceLineLost)
            .WithIf(!seen.Reference.IsFitted || age > limits.ReferenceStaleAfterMicros, Cause.ReferenceStale)
            .WithIf(age > limits.ReferenceLateAfterMicros, Cause.ReferenceLate)
            | OfQuality(quality, age, limits);
    }

    public static CauseSet OfSourceSensor(in Observation seen, in SensorTrack track, SafetyLimits limits)
    {
        if (!seen.SourceSensor.IsFitted)
            return CauseSet.Empty;
        long age = AgeMicros(track, seen.NowMicros);
        ReadingQuality quality = seen.SourceSensor.Quality;
        return CauseSet.Empty
            .WithIf(quality == ReadingQuality.LineLost, Cause.SourceLineLost)
            .WithIf(age > limits.SourceStaleAfterMicros, Cause.SourceStale)
            .WithIf(age > limits.SourceLateAfterMicros, Cause.SourceLate)
            | OfQuality(quality, age, limits);
    }

    /// <summary>Frozen: more identical answers than noise allows, while the value matters.</summary>
    public static CauseSet Frozen(in SensorTrack track, int frozenAfter, bool shouldMove) =>
        frozenAfter > 0 && track.Identical >= frozenAfter
            ? CauseSet.Of(shouldMove ? Cause.FrozenWhileMoving : Cause.SensorFrozen)
            : CauseSet.Empty;

    /// <summary>Compares the sensors whenever both have something new to say.</summary>
    /// <remarks>The slower one sets the pace, so that its answer is never compared with a reference that is much newer.</remarks>
    public static CauseSet Agreement(in Observation seen, ref SafetyState next, SafetyLimits limits)
    {
        bool isPair = seen.Reference.IsGood && seen.SourceSensor.IsGood
            && seen.Reference.Count != next.PairedReferenceCount && seen.SourceSensor.Count != next.PairedSourceCount;
        if (isPair)
        {
            next.PairedReferenceCount = seen.Reference.Count;
            next.PairedSourceCount = seen.SourceSensor.Count;
            next.DisagreeingPairs = Differ(seen, next.Reference, limits) ? Math.Min(next.DisagreeingPairs + 1, limits.DisagreeingPairs) : 0;
        }

        return CauseSet.Empty.WithIf(next.DisagreeingPairs >= limits.DisagreeingPairs, Cause.SensorsDisagree);
    }

    private static CauseSet OfQuality(ReadingQuality quality, long ageMicros, SafetyLimits limits) => CauseSet.Empty
        .WithIf(quality == ReadingQuality.OverRange, Cause.OverCeiling)
        .WithIf(quality == ReadingQuality.WrongUnit, Cause.UnitChanged)
        .WithIf(quality > ReadingQuality.LineLost, Cause.InternalFault)
        .WithIf(ageMicros < -limits.LongestGapMicros, Cause.TimeFault);

    private static bool Differ(in Observation seen, in SensorTrack reference, SafetyLimits limits)
    {
        long skewMicros = Saturating.Distance(seen.Reference.AnsweredAtMicros, seen.SourceSensor.AnsweredAtMicros);
        long moved = Saturating.Scale(Saturating.Magnitude(reference.RateMilliPascalsPerSecond), skewMicros, MicrosPerSecond);
        long difference = Saturating.Distance(seen.Reference.Value.MilliPascals, seen.SourceSensor.Value.MilliPascals);
        return difference > Saturating.Add(limits.AgreementTolerance.MilliPascals, moved);
    }

    /// <summary>Keeps two earlier points, one and two rate bases back, and takes the rate from the older.</summary>
    private static void FollowRate(ref SensorTrack track, in SensorReading reading, SafetyLimits limits)
    {
        if (!track.HasNewer)
        {
            Remember(ref track, reading);
            return;
        }

        Pressure fromValue = track.HasOlder ? track.OlderValue : track.NewerValue;
        long fromMicros = track.HasOlder ? track.OlderMicros : track.NewerMicros;
        long elapsed = Saturating.Subtract(reading.AskedAtMicros, fromMicros);
        if (elapsed >= limits.RateBaseMicros && elapsed > 0)
        {
            long change = Saturating.Subtract(reading.Value.MilliPascals, fromValue.MilliPascals);
            track.RateMilliPascalsPerSecond = Saturating.Scale(change, MicrosPerSecond, elapsed);
            long fastest = Saturating.Scale(limits.MaxRateMilliPascalsPerSecond, 6, 5);
            track.TooFast = Saturating.Magnitude(track.RateMilliPascalsPerSecond) > fastest ? Math.Min(track.TooFast + 1, 2) : 0;
            track.VolumeTooSmall = ShowsSmallVolume(track.RateMilliPascalsPerSecond, limits) ? Math.Min(track.VolumeTooSmall + 1, 2) : 0;
        }

        if (Saturating.Subtract(reading.AskedAtMicros, track.NewerMicros) >= limits.RateBaseMicros)
            Remember(ref track, reading);
    }

    /// <summary>
    /// Filling is the slower the larger the volume, and no opening of the fill is faster than the widest: a rise above
    /// r_max(V_min)/0.8 needs less than 0.8 V_min, whatever the controller does with its valve (SR-20).
    /// </summary>
    private static bool ShowsSmallVolume(long rateMilliPascalsPerSecond, SafetyLimits limits) =>
        limits.FastestFillMilliPascalsPerSecond > 0
        && rateMilliPascalsPerSecond > Saturating.Scale(limits.FastestFillMilliPascalsPerSecond, 5, 4);

    private static void Remember(ref SensorTrack track, in SensorReading reading)
    {
        track.HasOlder = track.HasNewer;
        track.OlderValue = track.NewerValue;
        track.OlderMicros = track.NewerMicros;
        track.HasNewer = true;
        track.NewerValue = reading.Value;
        track.NewerMicros = reading.AskedAtMicros;
    }

    /// <summary>Forgets the rate, as when a vent ends and control begins: a rate across the two would belong to neither.</summary>
    public static SensorTrack WithoutRate(in SensorTrack track) => track with
    {
        HasOlder = false,
        HasNewer = false,
        RateMilliPascalsPerSecond = 0,
        TooFast = 0,
        VolumeTooSmall = 0,
    };
}
