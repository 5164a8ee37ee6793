namespace Barostep.Safety;

/// <summary>What the source and the relay are told, given the phase.</summary>
internal static class Commands
{
    public static void Choose(
        in SafetyState state,
        in Observation seen,
        in SensorProofs proofs,
        bool permitted,
        Pressure ceiling,
        Pressure highest,
        SafetyLimits limits,
        ref SafetyState next)
    {
        next.KeepAlive = next.Phase == GuardPhase.Permitted
            || (state.KeepAlive && next.Phase is GuardPhase.Venting or GuardPhase.Stopping);
        RenewLease(seen, proofs, limits, ref next);
        if (next.Phase == GuardPhase.Permitted)
            ChooseRegulation(state, seen, proofs, permitted, highest, limits, ref next);
        else
            ChooseWithout(limits, ref next);
        Date(state, seen.NowMicros, ref next);
    }

    /// <summary>Only a cycle with fresh readings within the limits renews; otherwise the lease runs out by itself (SR-12).</summary>
    private static void RenewLease(in Observation seen, in SensorProofs proofs, SafetyLimits limits, ref SafetyState next)
    {
        if (next.Phase != GuardPhase.Permitted)
            next.LeaseUntilMicros = 0;
        else if (proofs.AllFresh)
            next.LeaseUntilMicros = Saturating.Add(seen.NowMicros, limits.LeaseMicros);
        else if (seen.NowMicros >= next.LeaseUntilMicros)
            next.LeaseUntilMicros = 0;
    }

    private static void ChooseRegulation(
        in SafetyState state,
        in Observation seen,
        in SensorProofs proofs,
        bool permitted,
        Pressure highest,
        SafetyLimits limits,
        ref SafetyState next)
    {
        bool dumpStillOpen = seen.Relay.Fitted && seen.Relay.FeedbackKnown && !seen.Relay.DumpShut;
        if (next.Holding && !state.Holding)
            Freeze(seen.Reference, proofs, highest, limits, ref next);
        else if (!next.Holding && permitted)
            Accept(seen.Intent, limits, ref next);

        if (next.LeaseUntilMicros == 0 || dumpStillOpen || !next.HasSetPoint)
            next.Action = SafetyAction.Isolate;
        else
            next.Action = SafetyAction.Control;
        // A ceiling that was lowered may lie below what was approved before.
        next.SetPoint = Pressure.Min(next.SetPoint, highest);
    }

    /// <summary>Takes over what the intent asks for; the permit has checked it against the limits.</summary>
    private static void Accept(in Intent intent, SafetyLimits limits, ref SafetyState next)
    {
        if (intent.Kind == IntentKind.Isolate)
        {
            next.HasSetPoint = false;
        }
        else if (intent.Kind == IntentKind.Pressurise)
        {
            if (Saturating.Distance(intent.Target.MilliPascals, next.Target.MilliPascals) > limits.NearBand.MilliPascals)
                next.Holds = 0;
            next.HasSetPoint = true;
            next.Target = intent.Target;
            next.SetPoint = intent.Target;
            next.RateMilliPascalsPerSecond = Math.Min(intent.RateMilliPascalsPerSecond, limits.MaxRateMilliPascalsPerSecond);
        }
    }

    /// <summary>No further change: regulate where the pressure is, unless it has arrived already.</summary>
    private static void Freeze(
        in SensorReading reference, in SensorProofs proofs, Pressure highest, SafetyLimits limits, ref SafetyState next)
    {
        // Without a fresh reading there is nowhere to regulate: isolate until the hold is over.
        next.HasSetPoint &= proofs.ReferenceFresh;
        if (!next.HasSetPoint)
            return;
        bool arrived = Saturating.Distance(reference.Value.MilliPascals, next.SetPoint.MilliPascals) <= limits.NearBand.MilliPascals;
        if (!arrived)
            next.SetPoint = Pressure.Min(reference.Value, highest);
    }

    private static void ChooseWithout(SafetyLimits limits, ref SafetyState next)
    {
        next.HasSetPoint = false;
        next.RateMilliPascalsPerSecond = limits.MaxRateMilliPascalsPerSecond;
        next.Action = next.Phase switch
        {
            GuardPhase.Safe => SafetyAction.Rest,
            GuardPhase.Venting or GuardPhase.Stopping => SafetyAction.Vent,
            GuardPhase.Testing => SafetyAction.Isolate,
            _ => SafetyAction.Dump,
        };
    }

    /// <summary>Notes since when each command holds, and begins afresh what is judged from that moment.</summary>
    private static void Date(in SafetyState state, long nowMicros, ref SafetyState next)
    {
        if (!state.HasRun || next.KeepAlive != state.KeepAlive)
            next.KeepAliveSinceMicros = nowMicros;
        if (!state.HasRun || next.Action != state.Action)
        {
            next.ActionSinceMicros = nowMicros;
            next.Motion = default;
            next.Vent = default;
            if (next.Action == SafetyAction.Control)
                next.Reference = SensorChecks.WithoutRate(next.Reference);
        }

        if (next.SetPoint != state.SetPoint || next.HasSetPoint != state.HasSetPoint)
        {
            next.SetPointSinceMicros = nowMicros;
            if (!MotionChecks.Continues(next.Motion, next.SetPoint))
                next.Motion = default;
        }
    }
}
