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
    private readonly byte[] buffer = new byte[framing.MaximumReply + framing.Terminator.Length];
    private int length;
    private bool complete;

    public long SilenceMicros => framing.SilenceMicros;

    /// <summary>What arrived, without the terminator once that is complete.</summary>
    public ReadOnlySpan<byte> Reply => buffer.AsSpan(0, complete ? length - framing.Terminator.Length : length);

    public void Clear()
    {
        length = 0;
        complete = false;
    }

    public ReplyProgress Take(ReadOnlySpan<byte> bytes)
    {
        for (int i = 0; i < bytes.Length; i++)
        {
            if (complete || length == buffer.Length)
                return ReplyProgress.Overrun;
            buffer[length++] = bytes[i];
            complete = buffer.AsSpan(0, length).EndsWith(framing.Terminator);
        }

        return complete ? ReplyProgress.Complete : length == buffer.Length ? ReplyProgress.Overrun : ReplyProgress.Partial;
    }

    public string Text() => ReplyText.Printable(Reply);
}
