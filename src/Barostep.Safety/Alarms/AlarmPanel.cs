namespace Barostep.Safety;

/// <summary>Follows the kernel's causes as alarms for people (SR-27, SR-28). It has no way back into the kernel.</summary>
/// <remarks>An acknowledgement clears nothing, and what clears is not acknowledged by that.</remarks>
public sealed class AlarmPanel
{
    /// <summary>Half an hour (SR-27).</summary>
    public const long LongestShelfMicros = 1_800_000_000;

    /// <summary>More alarms than this within <see cref="FloodMicros"/> are a flood (SR-28).</summary>
    private const int MostBeforeFlood = 10;

    private const long FloodMicros = 600_000_000;

    private readonly long[] _shelvedUntil = new long[64];
    private readonly long[] _raised = new long[MostBeforeFlood + 1];
    private int _raisedCount;
    private CauseSet _present;
    private CauseSet _latched;

    public AlarmSummary Summary { get; private set; }

    /// <summary>Takes one decision's causes over.</summary>
    public void Follow(in Decision decision, long nowMicros) =>
        Follow(decision.Causes, decision.Latched, decision.FirstCause, nowMicros);

    /// <summary>Takes one cycle over.</summary>
    /// <param name="causes">What is present.</param>
    /// <param name="latched">What the kernel keeps.</param>
    /// <param name="firstCause">The first of what it keeps.</param>
    /// <param name="nowMicros">Now, monotonic.</param>
    public void Follow(CauseSet causes, CauseSet latched, Cause firstCause, long nowMicros)
    {
        CauseSet shelved = Unexpired(nowMicros);
        CauseSet kept = shelved | Summary.OutOfService;
        CauseSet active = causes | latched;
        // What comes back from a shelf and is still there is news.
        CauseSet fresh = (active - (_present | _latched) - kept) | ((Summary.Shelved - shelved) & active);
        (_present, _latched) = (causes, latched);

        bool isOpen = Summary.First != Cause.None && active.Contains(Summary.First) && !kept.Contains(Summary.First);
        Cause first = isOpen ? Summary.First : CausePolicy.First(fresh.IsEmpty ? active - kept : fresh);
        // The kernel knows which of the causes of one trip came first.
        if (firstCause != Cause.None && !kept.Contains(firstCause))
            first = firstCause;
        bool isNew = !fresh.IsEmpty && (!isOpen || first != Summary.First);
        if (isNew)
            CountRaise(nowMicros);
        Summary = Summary with
        {
            Active = active,
            Unacknowledged = (Summary.Unacknowledged | fresh) - kept,
            Shelved = shelved,
            First = first,
            Consequences = (active - kept) - CauseSet.Of(first),
            Flood = IsFlood(nowMicros),
        };
    }

    /// <summary>Does what a person asks for.</summary>
    /// <param name="action">What.</param>
    /// <param name="cause">With which alarm; ignored by <see cref="AlarmAction.Acknowledge"/>.</param>
    /// <param name="forMicros">For how long; ignored but by <see cref="AlarmAction.Shelve"/>.</param>
    /// <param name="nowMicros">Now, monotonic.</param>
    /// <returns>Why it is refused; empty where it is done.</returns>
    public string Do(AlarmAction action, Cause cause, long forMicros, long nowMicros)
    {
        if (action == AlarmAction.Acknowledge)
        {
            Summary = Summary with { Unacknowledged = CauseSet.Empty };
            return string.Empty;
        }

        if (cause == Cause.None || (int)cause > CausePolicy.All.Length)
            return "there is no such alarm";
        if (action == AlarmAction.Return)
        {
            Return(cause);
            return string.Empty;
        }

        // No key of a file and no request gets past this (SR-29).
        if (CausePolicy.Of(cause).Verdict >= Verdict.Abort)
            return $"{cause} leads to {CausePolicy.Of(cause).Verdict}: such an alarm is never kept back";
        if (action == AlarmAction.Shelve && forMicros is <= 0 or > LongestShelfMicros)
            return "an alarm is shelved for 1 to 30 minutes";
        Keep(action, cause, forMicros, nowMicros);
        return string.Empty;
    }

    private void Keep(AlarmAction action, Cause cause, long forMicros, long nowMicros)
    {
        CauseSet one = CauseSet.Of(cause);
        if (action == AlarmAction.Shelve)
        {
            _shelvedUntil[(int)cause] = nowMicros + forMicros;
            Summary = Summary with { Shelved = Summary.Shelved | one };
        }
        else
        {
            Summary = Summary with { OutOfService = Summary.OutOfService | one };
        }

        Summary = Summary with { Unacknowledged = Summary.Unacknowledged - one };
    }

    private void Return(Cause cause)
    {
        // The shelf has run out: the next cycle shows it as one that came back.
        _shelvedUntil[(int)cause] = 0;
        Summary = Summary with
        {
            OutOfService = Summary.OutOfService - CauseSet.Of(cause),
            Shelved = Summary.Shelved | (Summary.OutOfService & CauseSet.Of(cause)),
        };
    }

    private CauseSet Unexpired(long nowMicros)
    {
        CauseSet still = CauseSet.Empty;
        foreach (Cause cause in Summary.Shelved)
            still = still.WithIf(nowMicros < _shelvedUntil[(int)cause], cause);
        return still;
    }

    private void CountRaise(long nowMicros) => _raised[_raisedCount++ % _raised.Length] = nowMicros;

    /// <summary>The ring holds one more than is allowed: a flood is when its oldest is young.</summary>
    private bool IsFlood(long nowMicros) =>
        _raisedCount > MostBeforeFlood && nowMicros - _raised[_raisedCount % _raised.Length] < FloodMicros;
}
