using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Keeps every cycle of a bench, chained, and what people should find in it without reading cycles.</summary>
public sealed class SafetyJournal : IDisposable
{
    private readonly JournalFile file;
    private readonly JournalChain chain;
    private uint lastTrip;

    /// <param name="file">Where its bytes go.</param>
    /// <param name="after">Where the chain stood; <see cref="JournalHead.Genesis"/> for the first file.</param>
    /// <param name="wasLeftOpen">Whether the last file ends without an orderly stop.</param>
    /// <param name="lastTrip">Number of the last trip that the journal knows.</param>
    public SafetyJournal(JournalFile file, JournalHead after, bool wasLeftOpen, uint lastTrip = 0)
    {
        this.file = file;
        this.lastTrip = lastTrip;
        chain = new JournalChain(after);
        WasLeftOpen = wasLeftOpen;
    }

    /// <summary>Whether the last file ends without an orderly stop.</summary>
    public bool WasLeftOpen { get; }

    /// <summary>Whether an append or a flush has failed. There is no second try: see <see cref="JournalFile"/>.</summary>
    public bool HasFailed { get; private set; }

    /// <summary>Where the chain stands.</summary>
    public JournalHead Head => chain.Head;

    /// <summary>Keeps one cycle, and the trip that began in it.</summary>
    public void Tick(in Observation seen, in Decision decided)
    {
        Append(chain.AppendTick(seen, decided).Span);
        if (decided.TripNumber == lastTrip)
            return;
        lastTrip = decided.TripNumber;
        Write(StampOf(seen), new TripPayload(
            decided.TripNumber,
            decided.FirstCause,
            seen.Reference.IsGood ? seen.Reference.Value : null,
            decided.Action));
    }

    /// <summary>Puts on the disk that pressure is about to be raised; false where that failed and nothing may be sent.</summary>
    public bool Raise(in Observation seen, in Decision decided)
    {
        Write(StampOf(seen), new RaisePayload(decided.SetPoint, decided.RateMilliPascalsPerSecond, "set point"));
        return Flush();
    }

    /// <summary>Keeps something other than a cycle.</summary>
    public void Write(JournalStamp stamp, JournalPayload payload) => Append(chain.Append(stamp, payload).Span);

    /// <summary>Makes everything so far survive a loss of power.</summary>
    public bool Flush()
    {
        if (!HasFailed && !file.Flush())
            HasFailed = true;
        return !HasFailed;
    }

    public void Dispose()
    {
        chain.Dispose();
        file.Dispose();
    }

    private static JournalStamp StampOf(in Observation seen) => new(seen.NowMicros, seen.WallMillis);

    private void Append(ReadOnlySpan<byte> line)
    {
        if (!HasFailed && !file.Append(line))
            HasFailed = true;
    }
}
