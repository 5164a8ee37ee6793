namespace Barostep.Safety;

/// <summary>The ceiling in force, and how a person may change it while the guard runs (SR-45).</summary>
internal static class Ceilings
{
    public static CauseSet Apply(in SafetyState state, in Observation seen, SafetyLimits limits, ref SafetyState next)
    {
        Pressure present = InForce(state, limits);
        Pressure asked = seen.Person.Ceiling;
        bool accepted;
        switch (seen.Person.Kind)
        {
            case PersonRequestKind.LowerCeiling:
                accepted = asked < present && asked > limits.Atmosphere;
                break;
            case PersonRequestKind.RaiseCeiling:
                accepted = seen.Person.Role == PersonRole.Safety && state.Phase == GuardPhase.Safe && state.Latched.IsEmpty && asked > present && asked <= limits.EffectiveCeiling;
                break;
            default:
                return CauseSet.Empty;
        }

        if (!accepted)
            return CauseSet.Of(Cause.RequestRefused);
        next.LoweredCeiling = asked;
        next.CeilingIsLowered = asked < limits.EffectiveCeiling;
        return CauseSet.Empty;
    }

    public static Pressure InForce(in SafetyState state, SafetyLimits limits) =>
        state.CeilingIsLowered ? Pressure.Min(state.LoweredCeiling, limits.EffectiveCeiling) : limits.EffectiveCeiling;

    public static Pressure HighestSetPoint(Pressure ceiling, SafetyLimits limits) =>
        Pressure.FromMilliPascals(Saturating.Subtract(ceiling.MilliPascals, limits.SetPointMargin.MilliPascals));
}
