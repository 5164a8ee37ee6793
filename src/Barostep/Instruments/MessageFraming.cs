namespace Barostep.Instruments;

internal enum ReplyProgress
{
    Partial,
    Complete,

    /// <summary>Too long without an end, more behind the end, or not the answer to the open question.</summary>
    Overrun,
}

/// <summary>What stands around the content of a message on the line, and how a reply's end is found.</summary>
/// <remarks>One exchange at a time: <see cref="Frame"/> begins it, and the bytes that follow are its reply.</remarks>
internal abstract class MessageFraming(Framing framing)
{
    private readonly byte[] _sent = new byte[RequestTemplate.Longest + 16];
    private int _sentLength;
    private int _echoed;

    public long SilenceMicros => framing.SilenceMicros;

    /// <summary>Least silence between what arrived last and the next message, µs.</summary>
    public abstract long GapMicros { get; }

    /// <summary>What arrived, as far as the reply's end.</summary>
    public abstract ReadOnlySpan<byte> Raw { get; }

    /// <summary>What the reply tells, without what stands around it.</summary>
    public abstract ReadOnlySpan<byte> Content { get; }

    /// <summary>Whether anything comes back at all: an answer, or the message itself.</summary>
    public bool Answers(ExchangeDefinition exchange) => framing.Echo || BringsReply(exchange);

    /// <summary>Puts a message around its content.</summary>
    /// <returns>The message, or nothing where it is too long.</returns>
    public ReadOnlySpan<byte> Frame(ExchangeDefinition exchange, ReadOnlySpan<byte> content)
    {
        _sentLength = Write(exchange, content, _sent);
        _echoed = 0;
        return _sent.AsSpan(0, _sentLength);
    }

    /// <summary>Takes bytes that arrived: the echo first where the instrument sends one, then the reply.</summary>
    public ReplyProgress Take(ReadOnlySpan<byte> bytes, ExchangeDefinition exchange)
    {
        if (framing.Echo && _echoed < _sentLength)
        {
            int length = Math.Min(bytes.Length, _sentLength - _echoed);
            if (!bytes[..length].SequenceEqual(_sent.AsSpan(_echoed, length)))
                return ReplyProgress.Overrun;
            _echoed += length;
            bytes = bytes[length..];
            if (_echoed < _sentLength)
                return ReplyProgress.Partial;
            if (!BringsReply(exchange))
                return bytes.IsEmpty ? ReplyProgress.Complete : ReplyProgress.Overrun;
        }

        return bytes.IsEmpty ? ReplyProgress.Partial : TakeReply(bytes);
    }

    /// <summary>The reply for people.</summary>
    public virtual string Text() => ReplyText.Printable(Raw);

    /// <summary>Framing by what the definition says.</summary>
    public static MessageFraming Of(InstrumentDefinition definition, int baud)
    {
        ArgumentNullException.ThrowIfNull(definition);
        return definition.Modbus is { } modbus
            ? new ModbusMessages(definition.Framing, modbus, definition.Line, baud)
            : new TerminatedMessages(definition.Framing, definition.Stream is not null);
    }

    /// <summary>What was sent last.</summary>
    protected ReadOnlySpan<byte> Sent => _sent.AsSpan(0, _sentLength);

    protected abstract bool BringsReply(ExchangeDefinition exchange);

    /// <summary>Writes the whole message and makes ready for its reply; 0 where it does not fit.</summary>
    protected abstract int Write(ExchangeDefinition exchange, ReadOnlySpan<byte> content, Span<byte> message);

    protected abstract ReplyProgress TakeReply(ReadOnlySpan<byte> bytes);
}
