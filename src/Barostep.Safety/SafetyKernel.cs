namespace Barostep.Safety;

/// <summary>The one place where it is decided whether pressure may be made, held, or must go.</summary>
/// <remarks>
/// A cycle goes: follow the sensors; list every cause that is present; latch those that stay; take the most severe
/// verdict; from it the phase; from the phase the action. Permission is proved anew in every cycle: nothing that is
/// remembered says "allowed".
/// </remarks>
public static class SafetyKernel
{
    /// <summary>Decides one cycle. Pure and total: no clock, no exception, no allocation, whole numbers only.</summary>
    /// <param name="state">What is remembered; <see cref="SafetyState.Initial"/> before the first cycle.</param>
    /// <param name="seen">What is seen now.</param>
    /// <param name="limits">What to compare with.</param>
    /// <param name="next">What to remember for the next cycle.</param>
    public static Decision Decide(in SafetyState state, in Observation seen, SafetyLimits limits, out SafetyState next)
    {
        // A caller may pass one variable as both, and what was remembered must not change while it is compared with.
        SafetyState before = state;
        SafetyState after = state;
        Decision decision = Advance(before, seen, limits, ref after);
        next = after;
        return decision;
    }

    private static Decision Advance(in SafetyState state, in Observation seen, SafetyLimits limits, ref SafetyState next)
    {
        CauseSet causes = Ceilings.Apply(state, seen, limits, ref next);
        Pressure ceiling = Ceilings.InForce(next, limits);
        Pressure highest = Ceilings.HighestSetPoint(ceiling, limits);

        next.Resets = ResetChecks.Begin(state, seen.NowMicros);
        SensorProofs proofs = SensorProofs.Gather(state, seen, limits, ref next);
        causes |= proofs.Causes
            | LimitChecks.Level(seen, ceiling, limits.EffectiveFloor)
            | SourceChecks.Source(state, seen, limits)
            | SourceChecks.Relay(state, seen, limits)
            | HostChecks.Host(state, seen, limits)
            | Requests(seen.Person)
            | WhileEnergised(state, seen, proofs, ceiling, highest, limits, ref next);
        causes |= Holding.Follow(state, causes, seen.NowMicros, limits, ref next);

        bool atRest = state.Phase is GuardPhase.Boot or GuardPhase.Safe;
        causes |= Latches.Apply(causes, atRest, seen, proofs.Safe, limits, ref next);
        Verdict verdict = Max(CausePolicy.Worst(causes, atRest), Latches.Worst(next.Latched, atRest));
        if (next.Holding)
            verdict = Max(verdict, Verdict.Hold);

        bool permitted = Permit.Holds(causes, next.Latched, seen, proofs, limits);
        next.Phase = Phases.Next(state.Phase, verdict, seen.Intent, proofs.Safe, permitted, SelfTest.HasPassed(state, next));
        SelfTest.Remember(state, seen.Intent, proofs, ref next, limits);
        next.Safe = proofs.Safe && next.Phase != GuardPhase.Permitted;
        Commands.Choose(state, seen, proofs, permitted, ceiling, highest, limits, ref next);
        Remember(state, seen, verdict, ref next);
        return new Decision(next, seen.Tick, verdict, causes, ceiling, limits.EffectiveFloor);
    }

    /// <summary>What a person asks for at once; acknowledgements and ceilings are dealt with where they act.</summary>
    private static CauseSet Requests(in PersonRequest person) => CauseSet.Empty
        .WithIf(person.Kind == PersonRequestKind.Stop, Cause.OperatorStop)
        .WithIf(person.Kind == PersonRequestKind.Dump, Cause.OperatorDump)
        .WithIf(person.Kind > PersonRequestKind.RaiseCeiling || person.Role > PersonRole.Safety, Cause.InternalFault);

    /// <summary>The checks that only mean something in a certain phase or under a certain command.</summary>
    private static CauseSet WhileEnergised(
        in SafetyState state, in Observation seen, in SensorProofs proofs, Pressure ceiling, Pressure highest, SafetyLimits limits, ref SafetyState next)
    {
        CauseSet causes = CauseSet.Empty;
        if (state.Phase is GuardPhase.Permitted or GuardPhase.Testing)
            causes |= HostChecks.Lapsed(state, seen, limits);
        if (state.Phase == GuardPhase.Permitted)
        {
            causes |= LimitChecks.Heading(seen.Reference, next.Reference, ceiling, limits.EffectiveFloor, limits)
                | LimitChecks.Rate(next.Reference);
        }

        if (state.Phase == GuardPhase.Testing)
            causes |= SelfTest.Follow(state, seen, proofs, limits, ref next);
        if (state.Phase is GuardPhase.Permitted or GuardPhase.Venting or GuardPhase.Testing)
            causes = causes.WithIf(seen.Intent.Kind == IntentKind.Abort, Cause.RunGivenUp);
        if (state.Phase is GuardPhase.Permitted or GuardPhase.Venting or GuardPhase.Safe)
        {
            causes |= LimitChecks.Proposal(seen.Intent, highest, limits.EffectiveFloor)
                | SelfTest.Due(state, seen, limits) | HostChecks.Void(state, seen);
        }

        if (state.Phase == GuardPhase.Safe && proofs.FarOutOfBand)
            causes = causes.With(Cause.RepressurisedWhileSafe);
        // An old reading is judged too: what it says against the bench does not get better with age.
        if (!state.HasRun || !seen.Reference.IsGood)
            return causes;

        MotionTrack motion = next.Motion;
        causes |= MotionChecks.Follow(state, seen, limits, ref motion);
        next.Motion = motion;
        if (state.Action is SafetyAction.Vent or SafetyAction.Dump)
        {
            VentTrack vent = next.Vent;
            causes |= VentChecks.Follow(state, seen, proofs.Gap, limits, ref vent);
            next.Vent = vent;
        }

        return causes;
    }

    private static void Remember(in SafetyState state, in Observation seen, Verdict verdict, ref SafetyState next)
    {
        bool newStep = next.Phase != state.Phase || next.Target != state.Target;
        next.SamplesVoid = verdict >= Verdict.Warn || (state.SamplesVoid && !newStep);
        next.IntentSequence = seen.Intent.Epoch > state.IntentEpoch
            ? seen.Intent.Sequence
            : Math.Max(state.IntentSequence, seen.Intent.Epoch == state.IntentEpoch ? seen.Intent.Sequence : 0);
        next.IntentEpoch = Math.Max(state.IntentEpoch, seen.Intent.Epoch);
        next.HasRun = true;
        next.Tick = seen.Tick;
        next.NowMicros = seen.NowMicros;
        next.WallMillis = seen.WallMillis;
    }

    private static Verdict Max(Verdict a, Verdict b) => a >= b ? a : b;
}
