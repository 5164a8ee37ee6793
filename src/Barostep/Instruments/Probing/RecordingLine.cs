namespace Barostep.Instruments.Probing;

/// <summary>Notes what goes over a line, and when.</summary>
public sealed class RecordingLine : IByteLine
{
    private readonly IByteLine _line;
    private readonly long _beganMicros;
    private readonly List<TranscriptEntry> _entries = [];

    public RecordingLine(IByteLine line, long beganMicros)
    {
        _line = line;
        _beganMicros = beganMicros;
        NowMicros = beganMicros;
    }

    public bool IsOpen => _line.IsOpen;

    /// <summary>The present time; whoever advances the driver sets it before.</summary>
    public long NowMicros { get; set; }

    public IReadOnlyList<TranscriptEntry> Entries => _entries;

    public int Receive(Span<byte> buffer)
    {
        int length = _line.Receive(buffer);
        if (length > 0)
            _entries.Add(new TranscriptEntry(NowMicros - _beganMicros, FromInstrument: true, buffer[..length].ToArray()));
        return length;
    }

    public bool Send(ReadOnlySpan<byte> bytes)
    {
        _entries.Add(new TranscriptEntry(NowMicros - _beganMicros, FromInstrument: false, bytes.ToArray()));
        return _line.Send(bytes);
    }
}
