namespace Barostep.Safety;

/// <summary>Whether the guard itself runs as it must: its clock, its order of cycles, its journal, the sequencer's pulse.</summary>
internal static class HostChecks
{
    private const long MicrosPerMilli = 1_000;

    public static CauseSet Host(in SafetyState state, in Observation seen, SafetyLimits limits) => CauseSet.Empty
        .WithIf(seen.Host.JournalFailed, Cause.JournalFault)
        .WithIf(seen.Host.DiskLow, Cause.DiskLow)
        .WithIf(seen.Host.UncleanStart && !state.HasRun, Cause.UncleanStart)
        | Clocks(state, seen, limits);

    /// <summary>The sequencer that asked for pressure is gone, or another one has started since.</summary>
    public static CauseSet Lapsed(in SafetyState state, in Observation seen, SafetyLimits limits) => CauseSet.Empty
        .WithIf(!IsRecent(seen.Intent, seen.NowMicros, limits) || seen.Intent.Epoch != state.IntentEpoch, Cause.IntentLapsed);

    /// <summary>An intent from the future, or older than one already seen, asks for nothing.</summary>
    public static CauseSet Void(in SafetyState state, in Observation seen)
    {
        Intent intent = seen.Intent;
        bool fromTheFuture = intent.IssuedMicros > seen.NowMicros;
        bool outOfOrder = intent.Epoch < state.IntentEpoch
            || (intent.Epoch == state.IntentEpoch && intent.Sequence < state.IntentSequence);
        return CauseSet.Empty.WithIf(fromTheFuture || outOfOrder || intent.Kind > IntentKind.TestDump, Cause.ProposalVoid);
    }

    public static bool IsRecent(in Intent intent, long nowMicros, SafetyLimits limits) =>
        Saturating.Subtract(nowMicros, intent.IssuedMicros) <= limits.IntentLapsesAfterMicros;

    private static CauseSet Clocks(in SafetyState state, in Observation seen, SafetyLimits limits)
    {
        if (!state.HasRun)
            return CauseSet.Empty.WithIf(seen.NowMicros < 0, Cause.InternalFault);
        long elapsedMicros = Saturating.Subtract(seen.NowMicros, state.NowMicros);
        long wallMillis = Saturating.Subtract(seen.WallMillis, state.WallMillis);
        long apartMillis = Saturating.Distance(wallMillis, elapsedMicros / MicrosPerMilli);
        return CauseSet.Empty
            .WithIf(elapsedMicros <= 0 || elapsedMicros > limits.LongestGapMicros || seen.Host.SuspendedMicros > 0, Cause.TimeFault)
            .WithIf(seen.Tick != Saturating.Add(state.Tick, 1) || seen.NowMicros < 0, Cause.InternalFault)
            .WithIf(apartMillis > limits.WallStepMillis, Cause.WallClockStepped);
    }
}
