using Barostep.Simulators.Wire;

namespace Barostep.Simulators.Terminal;

/// <summary>Joins one simulated port to its pseudo-terminal; a port that is disconnected has none.</summary>
internal sealed class PortTerminal(SimulatedPort port, string link) : IDisposable
{
    private readonly byte[] _buffer = new byte[4096];
    private int _hangUps = port.HangUps;
    private PseudoTerminal? _terminal = new(link, port.Baud);

    /// <summary>The master to wait on; -1 while the cable is out.</summary>
    public int Descriptor => _terminal?.Master ?? -1;

    /// <summary>Puts what the host wrote on the wire.</summary>
    public void TakeFromHost()
    {
        if (_terminal is null)
        {
            return;
        }

        int count;
        while ((count = _terminal.Read(_buffer)) > 0)
        {
            port.SetWrongSpeed(LineSpeed.CodeOf(port.Baud) is { } own && _terminal.SpeedCode != own);
            port.HostWrite(_buffer.AsSpan(0, count));
        }
    }

    /// <summary>Hands the host what has arrived.</summary>
    public void GiveToHost()
    {
        int count;
        while (_terminal is not null && (count = port.HostRead(_buffer)) > 0)
        {
            _terminal.Write(_buffer.AsSpan(0, count));
        }
    }

    /// <summary>Hangs up and comes back as the port did, also when both happened since the last call.</summary>
    public void FollowCable()
    {
        if (port.HangUps != _hangUps)
        {
            _hangUps = port.HangUps;
            Dispose();
        }

        if (port.Connected && _terminal is null)
        {
            _terminal = new PseudoTerminal(link, port.Baud);
        }
    }

    public void Release() => _terminal?.Release();

    public void Dispose()
    {
        _terminal?.Dispose();
        _terminal = null;
    }
}
