using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Keeps every cycle of a bench, chained, and what people should find in it without reading cycles.</summary>
public sealed class SafetyJournal : IDisposable
{
    /// <summary>A disk that takes longer than this to take one entry is not one to rely on (H18 of the hazards).</summary>
    internal const long LongestFlushMicros = 1_000_000;

    private readonly JournalFile _file;
    private readonly JournalChain _chain;
    private uint _lastTrip;
    private (Pressure SetPoint, long Rate)? _asked;
    private long _askedFlush;
    private long _askedMicros;
    private bool _late;

    /// <param name="file">Where its bytes go.</param>
    /// <param name="after">Where the chain stood; <see cref="JournalHead.Genesis"/> for the first file.</param>
    /// <param name="wasLeftOpen">Whether the last file ends without an orderly stop.</param>
    /// <param name="lastTrip">Number of the last trip that the journal knows.</param>
    public SafetyJournal(JournalFile file, JournalHead after, bool wasLeftOpen, uint lastTrip = 0)
    {
        _file = file;
        _lastTrip = lastTrip;
        _chain = new JournalChain(after);
        WasLeftOpen = wasLeftOpen;
    }

    /// <summary>Whether the last file ends without an orderly stop.</summary>
    public bool WasLeftOpen { get; }

    /// <summary>Whether an append or a flush has failed or took too long. There is no second try: see <see cref="JournalFile"/>.</summary>
    public bool HasFailed => _late || _file.HasFailed;

    /// <summary>Where the chain stands.</summary>
    public JournalHead Head => _chain.Head;

    /// <summary>Keeps one cycle, and the trip that began in it.</summary>
    public void Tick(in Observation seen, in Decision decided)
    {
        _file.Append(_chain.AppendTick(seen, decided).Span);
        if (decided.TripNumber == _lastTrip)
            return;
        _lastTrip = decided.TripNumber;
        Write(StampOf(seen), new TripPayload(
            decided.TripNumber,
            decided.FirstCause,
            seen.Reference.IsGood ? seen.Reference.Value : null,
            decided.Action));
    }

    /// <summary>
    /// Puts on the disk that pressure is about to be raised. False until it is there: the cycle goes on meanwhile, and
    /// asks again with a decision of its own.
    /// </summary>
    public bool IsRaiseOnDisk(in Observation seen, in Decision decided)
    {
        var wanted = (decided.SetPoint, decided.RateMilliPascalsPerSecond);
        if (_asked != wanted)
        {
            Write(StampOf(seen), new RaisePayload(decided.SetPoint, decided.RateMilliPascalsPerSecond, "set point"));
            _asked = wanted;
            _askedFlush = _file.RequestFlush();
            _askedMicros = seen.NowMicros;
        }

        bool done = _file.FlushesDone >= _askedFlush;
        _late |= !done && seen.NowMicros - _askedMicros > LongestFlushMicros;
        return done && !HasFailed;
    }

    /// <summary>Forgets what was about to be raised: the next raise, even to the same pressure, is written anew.</summary>
    public void EndRaise() => _asked = null;

    /// <summary>Keeps something other than a cycle.</summary>
    public void Write(JournalStamp stamp, JournalPayload payload) => _file.Append(_chain.Append(stamp, payload).Span);

    /// <summary>Asks for everything so far to survive a loss of power; disposing waits for it.</summary>
    public void RequestFlush() => _file.RequestFlush();

    public void Dispose()
    {
        _file.Dispose();
        _chain.Dispose();
    }

    private static JournalStamp StampOf(in Observation seen) => new(seen.NowMicros, seen.WallMillis);
}
