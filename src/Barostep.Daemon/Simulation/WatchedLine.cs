using Barostep.Instruments;
using Barostep.Simulators.Wire;

namespace Barostep.Daemon.Simulation;

/// <summary>A driver's end of a simulated line: everything that passes is shown to the world, and a write can fail.</summary>
internal sealed class WatchedLine(SimulatedPort port, World world) : IByteLine
{
    /// <summary>After a write has failed the line counts as lost until somebody opens it again.</summary>
    private const long ReopensAfterMicros = 400_000;

    private long _closedUntilMicros;

    public bool IsOpen => port.Connected && world.NowMicros >= _closedUntilMicros;

    public int Receive(Span<byte> buffer)
    {
        int count = port.HostRead(buffer);
        if (count > 0)
            world.Heard(port.Name, buffer[..count]);
        return count;
    }

    public bool Send(ReadOnlySpan<byte> bytes)
    {
        if (!IsOpen)
            return false;
        if (world.WriteFails())
        {
            _closedUntilMicros = world.NowMicros + ReopensAfterMicros;
            return false;
        }

        port.HostWrite(bytes);
        world.Sent(port.Name, bytes);
        return true;
    }
}
