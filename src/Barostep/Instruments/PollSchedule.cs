namespace Barostep.Instruments;

/// <summary>Which query is due next. The one due longest goes first, so that a fast poll cannot starve a slow one.</summary>
internal sealed class PollSchedule
{
    private readonly long[] _wanted = new long[Capabilities.Count];
    private readonly long[] _periods = new long[Capabilities.Count];
    private readonly long[] _dues = new long[Capabilities.Count];
    private int _version;

    public void Update(RequestInbox inbox, long nowMicros)
    {
        int version = inbox.PeriodsVersion;
        if (version == _version)
            return;
        _version = version;
        inbox.CopyPeriods(_wanted);
        for (int i = 0; i < _periods.Length; i++)
        {
            if (_periods[i] == _wanted[i])
                continue;
            _dues[i] = _periods[i] == 0 ? nowMicros : Math.Min(_dues[i], nowMicros + _wanted[i]);
            _periods[i] = _wanted[i];
        }
    }

    /// <summary>When the next query is due; <see cref="long.MaxValue"/> where nothing is polled.</summary>
    public long Next(out Capability capability)
    {
        long earliest = long.MaxValue;
        capability = default;
        for (int i = 0; i < _periods.Length; i++)
        {
            if (_periods[i] == 0 || _dues[i] >= earliest)
                continue;
            earliest = _dues[i];
            capability = (Capability)i;
        }

        return earliest;
    }

    /// <summary>Keeps the period on average; a poll that is late by more than a period is not made up for by a burst.</summary>
    public void Asked(Capability capability, long nowMicros) =>
        _dues[(int)capability] = Math.Max(_dues[(int)capability] + _periods[(int)capability], nowMicros + 1);
}
