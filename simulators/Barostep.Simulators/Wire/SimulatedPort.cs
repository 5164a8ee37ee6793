namespace Barostep.Simulators.Wire;

/// <summary>The host's end of one instrument's line.</summary>
public sealed class SimulatedPort
{
    public string Name => throw new NotImplementedException();

    /// <summary>Speed of the instrument at the other end, bits per second; a byte takes ten bits.</summary>
    public int Baud => throw new NotImplementedException();

    /// <summary>False between the faults <c>disconnect</c> and <c>reconnect</c>: writes are lost, reads bring nothing.</summary>
    public bool Connected => throw new NotImplementedException();

    /// <summary>Puts bytes on the wire at the bench's present time; they follow whatever is still being sent.</summary>
    public void HostWrite(ReadOnlySpan<byte> bytes) => throw new NotImplementedException();

    /// <summary>Takes what has arrived by the bench's present time; 0 when nothing has.</summary>
    public int HostRead(Span<byte> buffer) => throw new NotImplementedException();
}
