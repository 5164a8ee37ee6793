namespace Barostep.Safety;

/// <summary>How often trips may be acknowledged before somebody with more authority must look (SR-26).</summary>
internal static class ResetChecks
{
    /// <summary>The hour of SR-26.</summary>
    private const long WindowMicros = 3_600_000_000;

    /// <summary>Brings what an earlier start of the guard remembered onto this start's clock.</summary>
    /// <remarks>A computer that was started anew counts from zero: what seems to lie ahead was just now, at the latest.</remarks>
    public static ResetTrack Begin(in SafetyState state, long nowMicros) => state.HasRun
        ? state.Resets
        : state.Resets with
        {
            Latest = Math.Min(state.Resets.Latest, nowMicros),
            Second = Math.Min(state.Resets.Second, nowMicros),
            Third = Math.Min(state.Resets.Third, nowMicros),
        };

    /// <summary>Whether one more needs the role safety: three within the hour before, whatever their causes.</summary>
    public static bool NeedsSafety(in ResetTrack resets, long nowMicros) =>
        resets.Known >= ResetTrack.Most && Saturating.Subtract(nowMicros, resets.Third) < WindowMicros;
}
