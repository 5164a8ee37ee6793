using Barostep.Instruments;
using Barostep.Simulators.Wire;

namespace Barostep.Daemon.Sweeps;

/// <summary>A line that ends at an instrument of a simulated bench in this very process.</summary>
internal sealed class EmbeddedLine(SimulatedPort port) : IByteLine
{
    public bool IsOpen => port.Connected;

    public int Receive(Span<byte> buffer) => port.HostRead(buffer);

    public bool Send(ReadOnlySpan<byte> bytes)
    {
        if (!port.Connected)
            return false;
        port.HostWrite(bytes);
        return true;
    }
}
