namespace Barostep.Safety;

/// <summary>The test of the dump valve with a little pressure, without which a run gets no more than that (SR-34).</summary>
/// <remarks>
/// Its relay is let go while the source is shut, and the pressure must fall to half on every sensor, in the time in which
/// the largest volume would. Only what is seen in the gas counts: a contact can lie.
/// </remarks>
internal static class SelfTest
{
    /// <summary>Whether an intent asks for more than the test's pressure and this run has no test that is young enough.</summary>
    public static CauseSet Due(in SafetyState state, in Observation seen, SafetyLimits limits) =>
        CauseSet.Empty.WithIf(IsAbove(seen.Intent, limits) && !MayArm(state, seen, limits), Cause.SelfTestDue);

    /// <summary>Judges the fall of the pressure since the valve was let go.</summary>
    public static CauseSet Follow(in SafetyState state, in Observation seen, in SensorProofs proofs, SafetyLimits limits, ref SafetyState next)
    {
        long begun = Saturating.Scale(limits.SafeBand.MilliPascals, 2, 1);
        bool fell = proofs.AllFresh && state.SelfTestFromGap >= begun && proofs.Gap <= state.SelfTestFromGap / 2;
        if (fell && !state.SelfTestPassed)
        {
            next.SelfTestPassed = true;
            next.SelfTestedMicros = seen.NowMicros;
        }

        long allowed = Saturating.Add(limits.RelayFollowsWithinMicros, Saturating.Add(limits.VentLagMicros, limits.VentTimeConstantMicros));
        bool late = Saturating.Subtract(seen.NowMicros, state.KeepAliveSinceMicros) > allowed;
        return CauseSet.Empty.WithIf(late && !fell, Cause.SelfTestFailed);
    }

    /// <summary>Whether the test that is going on has just been passed.</summary>
    public static bool HasPassed(in SafetyState state, in SafetyState next) =>
        state.Phase == GuardPhase.Testing && next.SelfTestPassed;

    /// <summary>Begins a test, and forgets one that a trip or a new test makes worthless.</summary>
    public static void Remember(in SafetyState state, in Intent intent, in SensorProofs proofs, ref SafetyState next, SafetyLimits limits)
    {
        bool begins = next.Phase == GuardPhase.Testing && state.Phase != GuardPhase.Testing;
        if (begins)
            next.SelfTestFromGap = proofs.Gap;
        if (begins || next.Phase == GuardPhase.Tripped)
            next.SelfTestPassed = false;
        if (next.Phase == GuardPhase.Permitted && next.SelfTestPassed && IsAbove(intent, limits))
            next.ArmedEpoch = intent.Epoch;
    }

    private static bool MayArm(in SafetyState state, in Observation seen, SafetyLimits limits) => state.SelfTestPassed
        && (state.ArmedEpoch == seen.Intent.Epoch
            || Saturating.Subtract(seen.NowMicros, state.SelfTestedMicros) <= limits.SelfTestValidMicros);

    private static bool IsAbove(in Intent intent, SafetyLimits limits) => limits.SelfTestRise.MilliPascals > 0
        && intent.Kind == IntentKind.Pressurise
        && Saturating.Distance(intent.Target.MilliPascals, limits.Atmosphere.MilliPascals) > limits.SelfTestRise.MilliPascals;
}
