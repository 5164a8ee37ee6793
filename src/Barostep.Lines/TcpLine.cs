using System.Net.Sockets;

namespace Barostep.Lines;

/// <summary>A raw TCP connection: an instrument's socket, or a serial device server.</summary>
public sealed class TcpLine : StreamLine
{
    private readonly Socket _socket;

    private TcpLine(Socket socket, Action onChange)
        : base(new NetworkStream(socket, ownsSocket: false), onChange) => _socket = socket;

    /// <summary>Connects.</summary>
    /// <exception cref="SocketException">Nobody answers there.</exception>
    public static async Task<TcpLine> OpenAsync(string host, int port, Action onChange, CancellationToken cancel)
    {
        Socket socket = new(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            // Found by the system's probes where the peer loses its power: 10 s, then 3 probes 5 s apart.
            socket.SetSocketOption(SocketOptionLevel.Socket, SocketOptionName.KeepAlive, true);
            socket.SetSocketOption(SocketOptionLevel.Tcp, SocketOptionName.TcpKeepAliveTime, 10);
            socket.SetSocketOption(SocketOptionLevel.Tcp, SocketOptionName.TcpKeepAliveInterval, 5);
            socket.SetSocketOption(SocketOptionLevel.Tcp, SocketOptionName.TcpKeepAliveRetryCount, 3);
            await socket.ConnectAsync(host, port, cancel).ConfigureAwait(false);
        }
        catch
        {
            socket.Dispose();
            throw;
        }

        TcpLine line = new(socket, onChange);
        line.Pump();
        return line;
    }

    protected override void Release() => _socket.Dispose();
}
