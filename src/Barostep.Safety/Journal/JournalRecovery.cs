namespace Barostep.Safety;

/// <summary>What a start of the program needs to know of the journal that its last run left.</summary>
/// <param name="Head">The newest intact entry; the chain goes on from here.</param>
/// <param name="IntactBytes">Length of the intact part; a torn tail is cut here.</param>
/// <param name="Fault">A torn tail, corruption, or null.</param>
/// <param name="FileNumber">Number of the file; 0 where it does not begin with an open entry.</param>
/// <param name="EndsCleanly">Whether the last entry is a clean stop and nothing follows it.</param>
/// <param name="LatchIsKnown">Whether the values below could be read; where not, the bench counts as tripped.</param>
/// <param name="Latched">Causes that were latched.</param>
/// <param name="FirstCause">The first of them.</param>
/// <param name="TripNumber">Number of the latest trip.</param>
/// <param name="LoweredCeiling">A ceiling that a person had lowered; null where none had.</param>
/// <param name="Resets">When trips were acknowledged last: a new start of the guard must not wipe that out.</param>
public sealed record JournalRecovery(
    JournalHead Head,
    long IntactBytes,
    JournalFault? Fault,
    int FileNumber,
    bool EndsCleanly,
    bool LatchIsKnown,
    CauseSet Latched,
    Cause FirstCause,
    uint TripNumber,
    Pressure? LoweredCeiling,
    ResetTrack Resets)
{
    /// <summary>Whether the file may be continued, a torn tail cut off. Corruption needs a person's decision and another file.</summary>
    public bool MayContinue => Fault is null or { Kind: JournalFaultKind.TornTail };

    /// <summary>The state in which the kernel begins. Its first observation tells of an unclean start, which latches by itself.</summary>
    public SafetyState RestartState => SafetyState.AfterRestart(Latched, FirstCause, TripNumber, LoweredCeiling, Resets);

    /// <summary>Reads a file to its end or its first fault.</summary>
    public static JournalRecovery Scan(Stream stream, JournalHead? after = null)
    {
        JournalReader reader = new(stream, after);
        JournalEntry? opening = null;
        JournalEntry? last = null;
        JournalEntry? latch = null;
        JournalEntry? limits = null;
        JournalEntry? state = null;
        List<long> acknowledged = [];
        while (reader.TryRead(out JournalEntry? entry))
        {
            opening ??= entry.Kind == JournalKind.Open ? entry : null;
            latch = entry.Kind is JournalKind.Tick or JournalKind.State ? entry : latch;
            limits = entry.Kind == JournalKind.Limits ? entry : limits;
            if (entry.Kind == JournalKind.State)
            {
                state = entry;
                acknowledged.Clear();
            }
            else if (entry.Kind == JournalKind.Acknowledge)
            {
                acknowledged.Add(entry.Stamp.NowMicros);
            }

            last = entry;
        }

        JournalRecovery found = new(
            reader.Head, reader.IntactBytes, reader.Fault, 0, reader.Fault is null && last?.Kind == JournalKind.Stop, false, CauseSet.Empty, Cause.None, 0, null, default);
        try
        {
            if (opening is not null)
                found = found with { FileNumber = ((OpenPayload)opening.ReadPayload()).FileNumber };
            return WithLatch(found with { Resets = ResetsOf(state, acknowledged) }, latch, limits);
        }
        catch (Exception problem) when (JournalReplay.IsUnreadable(problem))
        {
            return found;
        }
    }

    private static ResetTrack ResetsOf(JournalEntry? state, List<long> acknowledged)
    {
        ResetTrack resets = state is null ? default : ((StatePayload)state.ReadPayload()).State.Resets;
        foreach (long micros in acknowledged)
            resets = resets.With(micros);
        return resets;
    }

    private static JournalRecovery WithLatch(JournalRecovery found, JournalEntry? latch, JournalEntry? limits)
    {
        if (latch is null)
            return found;
        if (latch.Kind == JournalKind.State)
        {
            SafetyState state = ((StatePayload)latch.ReadPayload()).State;
            return found with
            {
                LatchIsKnown = true,
                Latched = state.Latched,
                FirstCause = state.FirstCause,
                TripNumber = state.TripNumber,
                LoweredCeiling = state.CeilingIsLowered ? state.LoweredCeiling : null,
            };
        }

        RecordedDecision decision = latch.ReadDecision();
        return found with
        {
            LatchIsKnown = true,
            Latched = decision.Latched,
            FirstCause = decision.FirstCause,
            TripNumber = decision.TripNumber,
            LoweredCeiling = Lowered(decision.EffectiveCeiling, limits),
        };
    }

    // Without the limits of its time, a ceiling in force counts as lowered: it may only be raised by a person.
    private static Pressure? Lowered(Pressure inForce, JournalEntry? limits) =>
        limits is not null && inForce >= ((LimitsPayload)limits.ReadPayload()).Limits.EffectiveCeiling ? null : inForce;
}
