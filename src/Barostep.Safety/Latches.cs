namespace Barostep.Safety;

/// <summary>Which causes stay after they have gone, and what ends them.</summary>
internal static class Latches
{
    /// <summary>Latches what is new, and ends what may end. Returns the refusal of an acknowledgement that may not.</summary>
    public static CauseSet Apply(CauseSet causes, bool atRest, in Observation seen, bool safe, SafetyLimits limits, ref SafetyState next)
    {
        CauseSet before = next.Latched;
        CauseSet full = CausePolicy.Leading(Verdict.Abort, atRest)
            | CausePolicy.Leading(Verdict.Trip, atRest) | CausePolicy.Leading(Verdict.Drop, atRest);
        // A stop counts at rest too: a sequencer that reads its zero must not go on to make pressure.
        CauseSet fresh = causes & ((full & CausePolicy.Acknowledged) | CausePolicy.EndedByVenting);
        next.Latched = before | fresh;

        bool tripIsNew = (before & CausePolicy.Acknowledged).IsEmpty && !(fresh & CausePolicy.Acknowledged).IsEmpty;
        if (tripIsNew)
            next.TripNumber = next.TripNumber == uint.MaxValue ? 1 : next.TripNumber + 1;
        if (tripIsNew || before.IsEmpty)
            next.FirstCause = CausePolicy.First(tripIsNew ? fresh & CausePolicy.Acknowledged : fresh);

        EndVented(causes, seen, safe, limits, ref next);
        bool refused = seen.Person.Kind == PersonRequestKind.Acknowledge && !Acknowledge(causes, seen, safe, ref next);
        if ((next.Latched & CauseSet.Of(next.FirstCause)).IsEmpty)
            next.FirstCause = CausePolicy.First(next.Latched);
        return CauseSet.Empty.WithIf(refused, Cause.RequestRefused);
    }

    /// <summary>What is latched by a trip counts in full; what only waits for a vent counts as at rest where nothing is energised.</summary>
    public static Verdict Worst(CauseSet latched, bool atRest)
    {
        Verdict trips = CausePolicy.Worst(latched & CausePolicy.Acknowledged, atRest: false);
        Verdict others = CausePolicy.Worst(latched & CausePolicy.EndedByVenting, atRest);
        return trips >= others ? trips : others;
    }

    private static void EndVented(CauseSet causes, in Observation seen, bool safe, SafetyLimits limits, ref SafetyState next)
    {
        bool wantsPressure = seen.Intent.Kind is IntentKind.Pressurise or IntentKind.Isolate
            && HostChecks.IsRecent(seen.Intent, seen.NowMicros, limits);
        if (safe && !wantsPressure)
            next.Latched -= CausePolicy.EndedByVenting - causes;
    }

    private static bool Acknowledge(CauseSet causes, in Observation seen, bool safe, ref SafetyState next)
    {
        CauseSet named = next.Latched & CausePolicy.Acknowledged;
        PersonRequest person = seen.Person;
        bool accepted = !named.IsEmpty && person.TripNumber == next.TripNumber && safe && (causes & CausePolicy.Acknowledged).IsEmpty
            && (person.Role == PersonRole.Safety || !ResetChecks.NeedsSafety(next.Resets, seen.NowMicros));
        if (!accepted)
            return false;
        next.Latched -= named;
        next.Resets = next.Resets.With(seen.NowMicros);
        return true;
    }
}
