using Barostep.Configuration;

namespace Barostep.Instruments;

public sealed partial class InstrumentDriver
{
    private string _lineTrouble = string.Empty;

    private volatile LinkState _state = LinkState.Closed;
    private volatile string _identityText = string.Empty;
    private volatile string _identityProblem = string.Empty;
    private long _exchanges;
    private long _timeOuts;
    private long _garbage;
    private long _openings;

    /// <summary>Raised after a request came in, on the requester's thread: whoever pumps the line then calls <see cref="Advance"/>.</summary>
    public event Action? Requested;

    public FittedInstrument Fitted { get; }

    public LinkState State
    {
        get => _state;
        private set => _state = value;
    }

    /// <summary>Whether the expected instrument has said who it is since the line was opened; nothing else was sent before.</summary>
    public bool IsVerified => _verified;

    /// <summary>What the instrument said it is; empty until it did.</summary>
    public string IdentityText
    {
        get => _identityText;
        private set => _identityText = value;
    }

    /// <summary>Why the instrument is not accepted, for people; empty where it is.</summary>
    public string IdentityProblem
    {
        get => _identityProblem;
        private set => _identityProblem = value;
    }

    /// <summary>Messages sent.</summary>
    public long Exchanges => Volatile.Read(ref _exchanges);

    public long TimeOuts => Volatile.Read(ref _timeOuts);

    /// <summary>Replies that did not match, and bytes that nobody asked for.</summary>
    public long Garbage => Volatile.Read(ref _garbage);

    /// <summary>How often the line was opened.</summary>
    public long Openings => Volatile.Read(ref _openings);

    /// <summary>Reports that were dropped because nobody took them.</summary>
    public long DroppedReports => _outbox.Dropped;

    /// <summary>
    /// Repeats a query, on average at most once in every period; 0 stops. What the instrument tells unasked is reported as
    /// often as it comes. Any thread.
    /// </summary>
    /// <exception cref="ArgumentException">The capability is not a query, or the instrument cannot do it.</exception>
    public void Poll(Capability capability, long periodMicros)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(periodMicros);
        if (!capability.IsQuery() || _plans[(int)capability] is not { } plan)
            throw new ArgumentException($"{Fitted.Definition.Name} has no query {capability}.", nameof(capability));
        if (plan.Exchange.Unasked)
            _streamWanted = periodMicros > 0;
        else
            _inbox.SetPeriod(capability, periodMicros);
        Requested?.Invoke();
    }

    /// <summary>Sends a command, or one query, once. Any thread.</summary>
    /// <param name="capability">What to do or ask.</param>
    /// <param name="value">In the unit that the definition states for it; ignored where the message takes none.</param>
    /// <param name="urgency">Vents and holds are urgent.</param>
    /// <param name="ticket">Comes back in the report; above 0.</param>
    public void Command(Capability capability, decimal value, CommandUrgency urgency, long ticket)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(ticket);
        _inbox.Add(new Request(capability, value, ticket), urgency);
        Requested?.Invoke();
    }

    /// <summary>
    /// Vents a source, or opens a dump valve, whose owner falls silent: unless called again before the time given, that is
    /// sent and repeated, and what can raise or hold pressure is refused until the next call. Ignored where the instrument
    /// can do neither. Any thread.
    /// </summary>
    public void VentIfNotRenewed(long untilMicros)
    {
        _inbox.SetLease(untilMicros);
        Requested?.Invoke();
    }

    /// <summary>Why the line could not be opened or was lost last, for people; whoever opens it sets this. Any thread.</summary>
    public string LineTrouble
    {
        get => Volatile.Read(ref _lineTrouble);
        set => Volatile.Write(ref _lineTrouble, value);
    }

    /// <summary>Whether a finished exchange waits to be taken. Any thread.</summary>
    public bool HasReports => _outbox.Any;

    /// <summary>Takes the oldest finished exchange. Any thread.</summary>
    public bool TryTake(out ExchangeReport report) => _outbox.TryTake(out report);
}
