using System.IO.Ports;
using Barostep.Instruments;

namespace Barostep.Lines;

/// <summary>A serial port or pseudo-terminal.</summary>
public sealed class SerialLine : StreamLine
{
    /// <summary>A full terminal with no write time-out can never be closed again.</summary>
    private const int WriteTimeoutMs = 1000;

    private readonly SerialPort _port;

    private SerialLine(SerialPort port, Action onChange)
        : base(port.BaseStream, onChange) => _port = port;

    /// <summary>Opens the port. Modem lines are not touched but for hardware flow control: a pseudo-terminal has none.</summary>
    /// <exception cref="IOException">The port cannot be opened or is not a terminal.</exception>
    /// <exception cref="UnauthorizedAccessException">The port is missing, in use, or not ours to open.</exception>
    public static SerialLine Open(string path, LineSettings settings, int baud, Action onChange)
    {
        ArgumentNullException.ThrowIfNull(settings);
        Parity parity = settings.Parity switch
        {
            LineParity.None => Parity.None,
            LineParity.Odd => Parity.Odd,
            LineParity.Even => Parity.Even,
            _ => throw new ArgumentOutOfRangeException(nameof(settings)),
        };
        SerialPort port = new(path, baud, parity, settings.DataBits, settings.StopBits == 2 ? StopBits.Two : StopBits.One)
        {
            WriteTimeout = WriteTimeoutMs,
            Handshake = settings.Flow switch
            {
                LineFlow.None => Handshake.None,
                LineFlow.Hardware => Handshake.RequestToSend,
                LineFlow.Software => Handshake.XOnXOff,
                _ => throw new ArgumentOutOfRangeException(nameof(settings)),
            },
        };
        try
        {
            port.Open();

            // What was written while nobody listened is kept by the terminal, and would pass for an answer.
            port.DiscardInBuffer();
            SerialLine line = new(port, onChange);
            line.Pump();
            return line;
        }
        catch
        {
            port.Dispose();
            throw;
        }
    }

    protected override void Release()
    {
        // Closing the port itself flushes first, which never ends after a hang-up; the stream's own disposal does not.
        if (_port.IsOpen)
            _port.BaseStream.Dispose();
        _port.Dispose();
    }
}
