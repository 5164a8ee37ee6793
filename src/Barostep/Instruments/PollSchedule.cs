namespace Barostep.Instruments;

/// <summary>Which query is due next. The one due longest goes first, so that a fast poll cannot starve a slow one.</summary>
internal sealed class PollSchedule
{
    private readonly long[] wanted = new long[Capabilities.Count];
    private readonly long[] periods = new long[Capabilities.Count];
    private readonly long[] dues = new long[Capabilities.Count];

    public void Update(RequestInbox inbox, long nowMicros)
    {
        inbox.CopyPeriods(wanted);
        for (int i = 0; i < periods.Length; i++)
        {
            if (periods[i] == wanted[i])
                continue;
            dues[i] = periods[i] == 0 ? nowMicros : Math.Min(dues[i], nowMicros + wanted[i]);
            periods[i] = wanted[i];
        }
    }

    /// <summary>When the next query is due; <see cref="long.MaxValue"/> where nothing is polled.</summary>
    public long Next(out Capability capability)
    {
        long earliest = long.MaxValue;
        capability = default;
        for (int i = 0; i < periods.Length; i++)
        {
            if (periods[i] == 0 || dues[i] >= earliest)
                continue;
            earliest = dues[i];
            capability = (Capability)i;
        }

        return earliest;
    }

    /// <summary>Keeps the period on average; a poll that is late by more than a period is not made up for by a burst.</summary>
    public void Asked(Capability capability, long nowMicros) =>
        dues[(int)capability] = Math.Max(dues[(int)capability] + periods[(int)capability], nowMicros + 1);
}
