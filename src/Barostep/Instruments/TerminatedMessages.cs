namespace Barostep.Instruments;

/// <summary>Messages that end with the definition's terminator.</summary>
/// <param name="framing">What ends a message.</param>
/// <param name="streams">Whether messages come unasked as well, so that one may be half there when a request goes out.</param>
internal sealed class TerminatedMessages(Framing framing, bool streams = false) : MessageFraming(framing)
{
    private readonly Framing _framing = framing;
    private readonly byte[] _buffer = new byte[framing.MaximumReply + framing.Terminator.Length];
    private int _length;
    private bool _complete;

    public override long GapMicros => 0;

    public override ReadOnlySpan<byte> Raw => _buffer.AsSpan(0, _complete ? _length - _framing.Terminator.Length : _length);

    public override ReadOnlySpan<byte> Content => Raw;

    /// <summary>Begins a new message, whatever was there.</summary>
    public void Clear()
    {
        _length = 0;
        _complete = false;
    }

    /// <summary>Takes one byte of a message that nobody asked for.</summary>
    public ReplyProgress TakeOne(byte value)
    {
        if (_complete || _length == _buffer.Length)
            return ReplyProgress.Overrun;
        _buffer[_length++] = value;
        _complete = _buffer.AsSpan(0, _length).EndsWith(_framing.Terminator);
        return _complete ? ReplyProgress.Complete : _length == _buffer.Length ? ReplyProgress.Overrun : ReplyProgress.Partial;
    }

    protected override bool BringsReply(ExchangeDefinition exchange) => exchange.Reply is not null;

    protected override int Write(ExchangeDefinition exchange, ReadOnlySpan<byte> content, Span<byte> message)
    {
        if (!streams)
            Clear();
        int length = content.Length + _framing.Terminator.Length;
        if (length > Math.Min(message.Length, RequestTemplate.Longest))
            return 0;
        content.CopyTo(message);
        _framing.Terminator.CopyTo(message[content.Length..]);
        return length;
    }

    protected override ReplyProgress TakeReply(ReadOnlySpan<byte> bytes)
    {
        ReplyProgress progress = ReplyProgress.Partial;
        foreach (byte value in bytes)
        {
            progress = TakeOne(value);
            if (progress == ReplyProgress.Overrun)
                return progress;
        }

        return progress;
    }
}
