#pragma warning disable CA1822
using Barostep.Configuration;

namespace Barostep.Instruments;

/// <summary>Talks to the one instrument of a port. Pure: it has no clock, no thread and does no I/O of its own.</summary>
public sealed partial class InstrumentDriver
{
    public InstrumentDriver(FittedInstrument fitted) => Fitted = fitted;

    public FittedInstrument Fitted { get; }

    /// <summary>Raised after a request came in, on the requester's thread: whoever pumps the line should call <see cref="Advance"/>.</summary>
    public event Action? Requested;

    public LinkState State => LinkState.Closed;

    /// <summary>What the instrument said it is; empty until it did.</summary>
    public string IdentityText => string.Empty;

    /// <summary>Why the instrument is the wrong one, for people; empty where it is not.</summary>
    public string IdentityProblem => string.Empty;

    /// <summary>Exchanges begun.</summary>
    public long Exchanges => 0;

    public long TimeOuts => 0;

    /// <summary>Replies that did not match, and bytes that nobody asked for.</summary>
    public long Garbage => 0;

    /// <summary>How often the line was opened.</summary>
    public long Openings => 0;

    /// <summary>Reports that were dropped because nobody took them.</summary>
    public long DroppedReports => 0;

    /// <summary>Does what is due. Call on bytes, on requests, when the line opens or closes, and at the returned time.</summary>
    /// <returns>When it wants to be called at the latest, monotonic µs; <see cref="long.MaxValue"/> for never.</returns>
    public long Advance(long nowMicros, IByteLine line) => long.MaxValue;

    /// <summary>Repeats a query, at most once in every period; 0 stops. Any thread.</summary>
    public void Poll(Capability capability, long periodMicros) => Requested?.Invoke();

    /// <summary>Sends a command, or one query, once. Any thread.</summary>
    /// <param name="capability">What to do or ask.</param>
    /// <param name="value">In the unit that the definition states for it; ignored where the message takes none.</param>
    /// <param name="urgency">Vents and holds are urgent.</param>
    /// <param name="ticket">Comes back in the report; above 0.</param>
    public void Command(Capability capability, decimal value, CommandUrgency urgency, long ticket) => Requested?.Invoke();

    /// <summary>
    /// Vents a source whose owner falls silent: unless called again before the time given, a vent is sent and repeated,
    /// and what can raise pressure is refused until the next call. Ignored where the instrument cannot vent. Any thread.
    /// </summary>
    public void VentIfNotRenewed(long untilMicros) => Requested?.Invoke();

    /// <summary>Takes the oldest finished exchange. Any thread.</summary>
    public bool TryTake(out ExchangeReport report)
    {
        report = default;
        return false;
    }
}
