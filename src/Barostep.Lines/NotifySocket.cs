using System.Net.Sockets;
using Barostep.Lines.GuardLine;

namespace Barostep.Lines;

/// <summary>Words to the service manager in the form of sd_notify(3): datagrams to a socket that it names. Nothing waits for it.</summary>
public sealed class NotifySocket : IDisposable
{
    public static ReadOnlySpan<byte> Ready => "READY=1"u8;

    public static ReadOnlySpan<byte> Watchdog => "WATCHDOG=1"u8;

    public static ReadOnlySpan<byte> Stopping => "STOPPING=1"u8;

    private readonly Socket? _socket;

    /// <param name="address">Where the manager listens, from NOTIFY_SOCKET; null where there is none.</param>
    public NotifySocket(string? address)
    {
        if (string.IsNullOrEmpty(address))
            return;
        _socket = new Socket(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
        try
        {
            // A leading @ stands for the zero byte of an abstract name.
            _socket.Connect(new UnixDomainSocketEndPoint(address[0] == '@' ? '\0' + address[1..] : address));
        }
        catch (SocketException)
        {
            _socket.Dispose();
            _socket = null;
        }
    }

    /// <summary>Whether anybody listens.</summary>
    public bool IsOpen => _socket is not null;

    /// <summary>Says one word; where nobody listens, nothing.</summary>
    public void Tell(ReadOnlySpan<byte> word)
    {
        if (_socket is not null)
            GuardSocket.TrySend(_socket, word);
    }

    public void Dispose() => _socket?.Dispose();
}
