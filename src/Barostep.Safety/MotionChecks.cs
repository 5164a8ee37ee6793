namespace Barostep.Safety;

/// <summary>Whether the pressure goes where it was sent while regulating, and keeps from growing while not.</summary>
internal static class MotionChecks
{
    private const long MicrosPerSecond = 1_000_000;

    /// <summary>Judges the newest reading of the reference against what the source was told before it.</summary>
    public static CauseSet Follow(in SafetyState state, in Observation seen, SafetyLimits limits, ref MotionTrack track)
    {
        if (!track.Started)
        {
            track = Begin(state, seen, limits);
            return CauseSet.Empty;
        }

        bool isNew = seen.Reference.Count != track.JudgedCount;
        track.JudgedCount = seen.Reference.Count;
        return state.Action == SafetyAction.Control
            ? Regulating(state, seen, limits, isNew, ref track)
            : Still(seen, limits, isNew, ref track);
    }

    /// <summary>Whether a new set point continues the motion under way, so that its window of response goes on.</summary>
    /// <remarks>A ramp made of many small set points must not restart the window each time, or it would never end.</remarks>
    public static bool Continues(in MotionTrack track, Pressure setPoint) =>
        track.Started && (track.Towards > track.From ? setPoint >= track.Towards : track.Towards < track.From && setPoint <= track.Towards);

    private static MotionTrack Begin(in SafetyState state, in Observation seen, SafetyLimits limits) => new()
    {
        Started = true,
        CommandedMicros = seen.NowMicros,
        SinceMicros = seen.NowMicros,
        From = seen.Reference.Value,
        Towards = state.SetPoint,
        Best = seen.Reference.Value,
        LeastGap = Gap(seen.Reference.Value, limits),
        JudgedCount = seen.Reference.Count,
    };

    private static CauseSet Regulating(
        in SafetyState state, in Observation seen, SafetyLimits limits, bool isNew, ref MotionTrack track)
    {
        Pressure now = seen.Reference.Value;
        if (isNew)
            FollowStray(state, now, seen.NowMicros, limits, ref track);
        bool silent = false;
        if (Saturating.Subtract(seen.NowMicros, track.SinceMicros) >= limits.ResponseWithinMicros)
        {
            silent = !Responded(track, now, state.RateMilliPascalsPerSecond, limits);
            if (!silent)
            {
                track.SinceMicros = seen.NowMicros;
                track.From = now;
                track.Towards = state.SetPoint;
            }
        }

        return CauseSet.Empty
            .WithIf(silent, Cause.NoResponse)
            .WithIf(track.Strays >= 2, Cause.WrongWay);
    }

    /// <summary>
    /// The pressure belongs between the nearest that it came and the set point. Outside by more than the stray band,
    /// twice in succession, it either falls back (a leak, a burst hose) or runs past.
    /// </summary>
    private static void FollowStray(in SafetyState state, Pressure now, long nowMicros, SafetyLimits limits, ref MotionTrack track)
    {
        if (Saturating.Subtract(nowMicros, track.CommandedMicros) < limits.VentLagMicros)
        {
            track.Best = now;
            return;
        }

        Pressure low = Pressure.Min(track.Best, state.SetPoint);
        Pressure high = Pressure.Max(track.Best, state.SetPoint);
        long outside = Math.Max(
            Saturating.Subtract(low.MilliPascals, now.MilliPascals),
            Saturating.Subtract(now.MilliPascals, high.MilliPascals));
        track.Strays = outside > limits.StrayBand.MilliPascals ? Math.Min(track.Strays + 1, 2) : 0;
        if (outside <= 0)
            track.Best = now;
        else if (IsBeyond(track.Best, state.SetPoint, now))
            track.Best = state.SetPoint;
    }

    private static bool IsBeyond(Pressure best, Pressure setPoint, Pressure now) =>
        best <= setPoint ? now > setPoint : now < setPoint;

    private static bool Responded(in MotionTrack track, Pressure now, long rateMilliPascalsPerSecond, SafetyLimits limits)
    {
        long asked = Saturating.Distance(track.Towards.MilliPascals, track.From.MilliPascals);
        if (asked <= limits.NearBand.MilliPascals)
            return true;
        long change = Saturating.Subtract(now.MilliPascals, track.From.MilliPascals);
        long moved = track.Towards > track.From ? change : Saturating.Subtract(0, change);
        long reachable = Saturating.Scale(rateMilliPascalsPerSecond, limits.ResponseWithinMicros, MicrosPerSecond);
        return moved >= Saturating.Scale(Math.Min(asked, reachable), limits.ResponsePercent, 100);
    }

    private static CauseSet Still(in Observation seen, SafetyLimits limits, bool isNew, ref MotionTrack track)
    {
        if (isNew)
        {
            long gap = Gap(seen.Reference.Value, limits);
            bool settling = Saturating.Subtract(seen.NowMicros, track.CommandedMicros) < limits.VentLagMicros;
            track.LeastGap = settling ? gap : Math.Min(track.LeastGap, gap);
            bool rose = Saturating.Subtract(gap, track.LeastGap) > Math.Max(limits.StrayBand.MilliPascals, limits.SafeBand.MilliPascals);
            track.Strays = rose ? Math.Min(track.Strays + 1, 2) : 0;
        }

        return CauseSet.Empty.WithIf(track.Strays >= 2, Cause.RiseWhileIsolated);
    }

    private static long Gap(Pressure value, SafetyLimits limits) =>
        Saturating.Distance(value.MilliPascals, limits.Atmosphere.MilliPascals);
}
