namespace Barostep.Safety;

/// <summary>The one place where it is decided whether pressure may be made, held, or must go.</summary>
public static partial class SafetyKernel
{
    /// <summary>Decides one cycle. Pure and total: no clock, no exception, no allocation, whole numbers only.</summary>
    /// <param name="state">What is remembered; <see cref="SafetyState.Initial"/> before the first cycle.</param>
    /// <param name="seen">What is seen now.</param>
    /// <param name="limits">What to compare with.</param>
    /// <param name="next">What to remember for the next cycle.</param>
    public static Decision Decide(in SafetyState state, in Observation seen, SafetyLimits limits, out SafetyState next)
    {
        next = state with { Tick = seen.Tick, NowMicros = seen.NowMicros, HasRun = true, Action = SafetyAction.Dump };
        return new Decision(
            next, seen.Tick, Verdict.None, CauseSet.Empty, SafetyAction.Dump, 0, false, true, limits.EffectiveCeiling, limits.EffectiveFloor);
    }
}
