namespace Barostep.Safety;

/// <summary>A hold lasts for a least time, and only so many are allowed for one set point.</summary>
internal static class Holding
{
    public static CauseSet Follow(in SafetyState state, CauseSet causes, long nowMicros, SafetyLimits limits, ref SafetyState next)
    {
        if (state.Phase != GuardPhase.Permitted)
        {
            next.Holding = false;
            next.Holds = 0;
            return CauseSet.Empty;
        }

        bool present = !(causes & CausePolicy.Leading(Verdict.Hold, atRest: false)).IsEmpty;
        if (present && !state.Holding)
        {
            next.Holding = true;
            next.Holds = Math.Min(state.Holds + 1, limits.HoldsPerSetPoint + 1);
            next.HoldUntilMicros = Saturating.Add(nowMicros, limits.HoldAtLeastMicros);
        }
        else if (!present && state.Holding && nowMicros >= state.HoldUntilMicros)
        {
            next.Holding = false;
        }

        return CauseSet.Empty.WithIf(next.Holds > limits.HoldsPerSetPoint, Cause.HeldTooOften);
    }
}
