namespace Barostep.Instruments;

internal enum ReplyProgress
{
    Partial,
    Complete,

    /// <summary>Too long without an end, or more behind the end: not an answer to one request.</summary>
    Overrun,
}

/// <summary>Collects the bytes of one reply up to its terminator.</summary>
internal sealed class ReplyReader(Framing framing)
{
    private readonly byte[] _buffer = new byte[framing.MaximumReply + framing.Terminator.Length];
    private int _length;
    private bool _complete;

    public long SilenceMicros => framing.SilenceMicros;

    /// <summary>What arrived, without the terminator once that is complete.</summary>
    public ReadOnlySpan<byte> Reply => _buffer.AsSpan(0, _complete ? _length - framing.Terminator.Length : _length);

    public void Clear()
    {
        _length = 0;
        _complete = false;
    }

    public ReplyProgress Take(ReadOnlySpan<byte> bytes)
    {
        for (int i = 0; i < bytes.Length; i++)
        {
            if (_complete || _length == _buffer.Length)
                return ReplyProgress.Overrun;
            _buffer[_length++] = bytes[i];
            _complete = _buffer.AsSpan(0, _length).EndsWith(framing.Terminator);
        }

        return _complete ? ReplyProgress.Complete : _length == _buffer.Length ? ReplyProgress.Overrun : ReplyProgress.Partial;
    }

    public string Text() => ReplyText.Printable(Reply);
}
