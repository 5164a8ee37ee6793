namespace Barostep.Instruments;

/// <summary>A line that carries bytes both ways. No member ever waits.</summary>
public interface IByteLine
{
    /// <summary>False before the line is opened and for ever after its first fault.</summary>
    bool IsOpen { get; }

    /// <summary>Takes bytes that have arrived; 0 where there are none.</summary>
    int Receive(Span<byte> buffer);

    /// <summary>Hands bytes to the line; false where the line is lost.</summary>
    bool Send(ReadOnlySpan<byte> bytes);
}
