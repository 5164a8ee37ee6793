namespace Barostep.Safety;

/// <summary>What this cycle's readings prove, and what is wrong with them.</summary>
/// <param name="Causes">What is wrong with them.</param>
/// <param name="ReferenceFresh">The reference's newest report is good and in time.</param>
/// <param name="AllFresh">So is that of every fitted sensor.</param>
/// <param name="Safe">Every fitted sensor has been near atmosphere for long enough, with the supply shut.</param>
/// <param name="FarOutOfBand">A sensor reads clearly outside the safe band.</param>
/// <param name="Gap">Largest distance from atmosphere on any good sensor, in millipascals.</param>
internal readonly record struct SensorProofs(
    CauseSet Causes, bool ReferenceFresh, bool AllFresh, bool Safe, bool FarOutOfBand, long Gap)
{
    public static SensorProofs Gather(in SafetyState state, in Observation seen, SafetyLimits limits, ref SafetyState next)
    {
        bool referenceMoves = ShouldMove(state, seen.Reference, seen.NowMicros, limits);
        bool sourceMoves = ShouldMove(state, seen.SourceSensor, seen.NowMicros, limits);
        next.Reference = SensorChecks.Follow(
            state.Reference, seen.Reference, seen.NowMicros, referenceMoves || IsPressurised(seen.Reference, limits), limits);
        next.SourceSensor = SensorChecks.Follow(
            state.SourceSensor, seen.SourceSensor, seen.NowMicros, sourceMoves || IsPressurised(seen.SourceSensor, limits), limits);

        CauseSet causes = SensorChecks.OfReference(seen, next.Reference, limits)
            | SensorChecks.OfSourceSensor(seen, next.SourceSensor, limits)
            | SensorChecks.Frozen(next.Reference, limits.ReferenceFrozenAfter, referenceMoves)
            | SensorChecks.Frozen(next.SourceSensor, limits.SourceFrozenAfter, sourceMoves);
        // While everything is dumped the hose between the sensors holds a difference that is nobody's fault.
        if (state.Action != SafetyAction.Dump && state.Phase != GuardPhase.Testing)
            causes |= SensorChecks.Agreement(seen, ref next, limits);

        bool referenceFresh = SensorChecks.IsFresh(seen.Reference, next.Reference, seen.NowMicros, limits.ReferenceLateAfterMicros);
        bool allFresh = referenceFresh && (!seen.SourceSensor.IsFitted
            || SensorChecks.IsFresh(seen.SourceSensor, next.SourceSensor, seen.NowMicros, limits.SourceLateAfterMicros));
        long gap = Math.Max(GapOf(seen.Reference, limits), GapOf(seen.SourceSensor, limits));
        FollowBand(state, seen.NowMicros, allFresh, causes, gap, limits, ref next);
        bool safe = allFresh && next.InBand && gap <= limits.SafeBand.MilliPascals
            && Saturating.Subtract(seen.NowMicros, next.InBandSinceMicros) >= limits.SafeAfterMicros;
        // Half a band more than what proved it, so that noise at the edge withdraws the proof without a trip.
        bool far = gap > Saturating.Scale(limits.SafeBand.MilliPascals, 3, 2);
        return new SensorProofs(causes, referenceFresh, allFresh, safe, far, gap);
    }

    /// <summary>One unanswered question within the age limit leaves the count of seconds alone but proves nothing in its own cycle.</summary>
    private static void FollowBand(
        in SafetyState state, long nowMicros, bool allFresh, CauseSet causes, long gap, SafetyLimits limits, ref SafetyState next)
    {
        bool vented = state.Action is SafetyAction.Rest or SafetyAction.Vent or SafetyAction.Dump;
        bool late = causes.Contains(Cause.ReferenceLate) || causes.Contains(Cause.SourceLate);
        bool stays = vented && !late && gap <= limits.SafeBand.MilliPascals && (allFresh || state.InBand);
        if (stays && !state.InBand)
            next.InBandSinceMicros = nowMicros;
        next.InBand = stays;
    }

    private static bool ShouldMove(in SafetyState state, in SensorReading reading, long nowMicros, SafetyLimits limits) =>
        state.Phase == GuardPhase.Permitted && state.Action == SafetyAction.Control && state.Motion.Started && reading.IsGood
        && Saturating.Subtract(nowMicros, state.Motion.CommandedMicros) >= limits.VentLagMicros
        && Saturating.Distance(state.SetPoint.MilliPascals, reading.Value.MilliPascals) > limits.NearBand.MilliPascals;

    private static bool IsPressurised(in SensorReading reading, SafetyLimits limits) => GapOf(reading, limits) > limits.SafeBand.MilliPascals;

    private static long GapOf(in SensorReading reading, SafetyLimits limits) =>
        reading.IsGood ? Saturating.Distance(reading.Value.MilliPascals, limits.Atmosphere.MilliPascals) : 0;
}
