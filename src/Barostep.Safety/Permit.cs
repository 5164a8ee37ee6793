namespace Barostep.Safety;

/// <summary>All the proofs that making or holding pressure needs. Each is taken from this cycle alone.</summary>
internal static class Permit
{
    public static bool Holds(CauseSet causes, CauseSet latched, in Observation seen, in SensorProofs proofs, SafetyLimits limits) =>
        latched.IsEmpty
        && (causes & CausePolicy.Blocking).IsEmpty
        && proofs.AllFresh
        && seen.Source.LineUp
        && (limits.SourceUpperLimit is null || seen.Source.UpperLimitKnown)
        && HostChecks.IsRecent(seen.Intent, seen.NowMicros, limits);
}
