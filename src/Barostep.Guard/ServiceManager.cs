using System.Net.Sockets;
using System.Text;
using Barostep.Control;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>Tells the service manager that the guard lives, in the form of sd_notify(3): a datagram to a socket that it names.</summary>
/// <remarks>Called from the end of a good cycle only: a timer would go on while the guard is dead.</remarks>
internal sealed class ServiceManager : IDisposable
{
    /// <summary>A quarter of the two seconds after which the manager loses patience (SR-37).</summary>
    private const long WatchdogEveryMicros = 500_000;

    private static readonly CauseSet NotFresh =
        CauseSet.Of(Cause.ReferenceLate).With(Cause.ReferenceStale).With(Cause.TimeFault).With(Cause.InternalFault);

    private static readonly byte[] Ready = Encoding.ASCII.GetBytes("READY=1");
    private static readonly byte[] Watchdog = Encoding.ASCII.GetBytes("WATCHDOG=1");
    private static readonly byte[] Stopping = Encoding.ASCII.GetBytes("STOPPING=1");

    private readonly Socket? _socket;
    private bool _readyTold;
    private long _toldMicros = long.MinValue / 2;

    /// <param name="address">Where the manager listens, from NOTIFY_SOCKET; null where there is none.</param>
    public ServiceManager(string? address)
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

    /// <summary>A cycle has ended. Only a good one is told: one whose reading is fresh, or whose bench is safe or tripped.</summary>
    public void AfterCycle(in BenchSnapshot bench, long nowMicros)
    {
        bool isGood = bench.Phase is GuardPhase.Safe or GuardPhase.Tripped
            || (bench.Reference.IsGood && (bench.Causes & NotFresh).IsEmpty);
        if (!isGood || _socket is null || nowMicros - _toldMicros < WatchdogEveryMicros)
            return;
        _toldMicros = nowMicros;
        if (!_readyTold)
            GuardSocket.TrySend(_socket, Ready);
        _readyTold = true;
        GuardSocket.TrySend(_socket, Watchdog);
    }

    /// <summary>The guard has begun to stop.</summary>
    public void Stop()
    {
        if (_socket is not null)
            GuardSocket.TrySend(_socket, Stopping);
    }

    public void Dispose() => _socket?.Dispose();
}
