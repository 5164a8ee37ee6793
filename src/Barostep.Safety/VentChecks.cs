namespace Barostep.Safety;

/// <summary>Whether a vent takes the pressure away as it must.</summary>
internal static class VentChecks
{
    private const long MicrosPerSecond = 1_000_000;

    /// <summary>Compares the distance from atmosphere with 1.5 times the model: slow after 2 τ, failed after 3 τ (SR-31).</summary>
    public static CauseSet Follow(in SafetyState state, in Observation seen, long gap, SafetyLimits limits, ref VentTrack track)
    {
        if (!track.Started)
        {
            track = new VentTrack { Started = true, SinceMicros = seen.NowMicros, FromGap = gap };
            return CauseSet.Empty;
        }

        long elapsed = Saturating.Subtract(Saturating.Subtract(seen.NowMicros, track.SinceMicros), limits.VentLagMicros);
        if (elapsed < 2 * limits.VentTimeConstantMicros)
            return CauseSet.Empty;
        long model = Model(track.FromGap, elapsed, state.Action == SafetyAction.Vent, limits);
        bool behind = gap > Saturating.Add(Saturating.Scale(model, 3, 2), limits.SafeBand.MilliPascals);
        bool failed = behind && elapsed >= 3 * limits.VentTimeConstantMicros;
        return CauseSet.Empty.WithIf(behind, Cause.VentSlow).WithIf(failed, Cause.VentFailed);
    }

    /// <summary>
    /// Distance from atmosphere after a time: exponential with τ, and before that, where the vent keeps to a rate,
    /// a straight line until the exponential is the slower of the two.
    /// </summary>
    /// <remarks>Half of the allowed rate is taken: a source may be slower than allowed, and lands slowly.</remarks>
    internal static long Model(long fromGap, long elapsedMicros, bool keepsToRate, SafetyLimits limits)
    {
        if (!keepsToRate)
            return Decay(fromGap, elapsedMicros, limits.VentTimeConstantMicros);
        long rate = Math.Max(limits.MaxRateMilliPascalsPerSecond / 2, 1);
        long freeGap = Math.Min(fromGap, Saturating.Scale(rate, limits.VentTimeConstantMicros, MicrosPerSecond));
        long straightMicros = Saturating.Scale(fromGap - freeGap, MicrosPerSecond, rate);
        return elapsedMicros < straightMicros
            ? fromGap - Saturating.Scale(rate, elapsedMicros, MicrosPerSecond)
            : Decay(freeGap, elapsedMicros - straightMicros, limits.VentTimeConstantMicros);
    }

    /// <summary>An exponential by halving, straight between the halvings, which is never below the true curve.</summary>
    private static long Decay(long fromGap, long elapsedMicros, long timeConstantMicros)
    {
        // ln 2 to six digits, rounded up, so that the halving time is not too short.
        long halving = Math.Max(Saturating.Scale(timeConstantMicros, 693_148, MicrosPerSecond), 1);
        long halvings = elapsedMicros / halving;
        if (halvings >= 62)
            return 0;
        long before = fromGap >> (int)halvings;
        return before - Saturating.Scale(before / 2, elapsedMicros % halving, halving);
    }
}
