using Barostep.Instruments;

namespace Barostep.Lines;

/// <summary>The line of a port that is not open.</summary>
internal sealed class ClosedLine : IByteLine
{
    public static readonly ClosedLine Instance = new();

    private ClosedLine()
    {
    }

    public bool IsOpen => false;

    public int Receive(Span<byte> buffer) => 0;

    public bool Send(ReadOnlySpan<byte> bytes) => false;
}
