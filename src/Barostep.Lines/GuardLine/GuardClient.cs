using System.Net.Sockets;

namespace Barostep.Lines.GuardLine;

/// <summary>A connection to the guard of one bench.</summary>
public sealed class GuardClient : IDisposable
{
    private static readonly TimeSpan AnswerTime = TimeSpan.FromSeconds(5);

    private readonly Socket _socket;
    private readonly Action _onSnapshot;
    private readonly object _gate = new();
    private readonly byte[] _outgoing = new byte[RecordSizes.Longest];
    private readonly Dictionary<uint, ReplyRecord> _replies = [];
    private readonly Thread _receiver;
    private SnapshotRecord? _snapshot;
    private uint _requests;
    private bool _lost;

    private GuardClient(Socket socket, Action onSnapshot)
    {
        _socket = socket;
        _onSnapshot = onSnapshot;
        _receiver = new Thread(Receive) { IsBackground = true, Name = "guard's answers" };
        _receiver.Start();
    }

    /// <summary>Whether the guard is still there.</summary>
    public bool IsConnected
    {
        get
        {
            lock (_gate)
                return !_lost;
        }
    }

    /// <summary>The newest snapshot; null before the first.</summary>
    public SnapshotRecord? Snapshot
    {
        get
        {
            lock (_gate)
                return _snapshot;
        }
    }

    /// <summary>Connects to a guard; null where none listens.</summary>
    /// <param name="path">Its socket.</param>
    /// <param name="hello">What this client means to do.</param>
    /// <param name="onSnapshot">Called after each snapshot, on a thread of the client's; must not wait.</param>
    /// <exception cref="RefusedException">It listens, and will not have this client; the message says why.</exception>
    public static GuardClient? TryConnect(string path, HelloRecord hello, Action? onSnapshot = null)
    {
        Socket socket = GuardSocket.Create();
        try
        {
            socket.Connect(new UnixDomainSocketEndPoint(path));
        }
        catch (SocketException)
        {
            socket.Dispose();
            return null;
        }

        var client = new GuardClient(socket, onSnapshot ?? (static () => { }));
        client.Send(hello.Write);
        if (client.WaitForReply(0) is { Accepted: true })
            return client;
        string reason = client.WaitForReply(0)?.Message ?? "it did not answer";
        client.Dispose();
        throw new RefusedException($"the guard of bench {hello.Bench} refused this program: {reason}");
    }

    /// <summary>Asks for a vent without becoming a client: heard even where a guard has no place left for one.</summary>
    /// <returns>Whether a guard listens.</returns>
    public static bool TryVent(string path, bool atOnce)
    {
        using Socket socket = GuardSocket.Create();
        try
        {
            socket.Connect(new UnixDomainSocketEndPoint(path));
        }
        catch (SocketException)
        {
            return false;
        }

        Span<byte> record = stackalloc byte[RecordSizes.Longest];
        return GuardSocket.TrySend(socket, record[..new VentRecord(atOnce).Write(record)]);
    }

    /// <summary>Sends a record that brings no reply.</summary>
    /// <param name="write">Writes it.</param>
    public void Send(WriteRecord write)
    {
        ArgumentNullException.ThrowIfNull(write);
        lock (_outgoing)
        {
            // A guard that takes nothing any more is told nothing: what it was not told lapses.
            int length = write(_outgoing);
            GuardSocket.TrySend(_socket, _outgoing.AsSpan(0, length));
        }
    }

    /// <summary>Sends a request and waits for its reply; null where none came in time.</summary>
    /// <param name="record">Makes the record, given its number.</param>
    public ReplyRecord? Ask(Func<uint, WriteRecord> record)
    {
        ArgumentNullException.ThrowIfNull(record);
        uint number = ++_requests;
        Send(record(number));
        return WaitForReply(number);
    }

    /// <summary>Waits until a snapshot shows what is wanted; null where none did in time.</summary>
    public SnapshotRecord? WaitFor(Predicate<SnapshotRecord> wanted, TimeSpan longest)
    {
        ArgumentNullException.ThrowIfNull(wanted);
        lock (_gate)
        {
            long until = Environment.TickCount64 + (long)longest.TotalMilliseconds;
            while (_snapshot is not { } told || !wanted(told))
            {
                long left = until - Environment.TickCount64;
                if (_lost || left <= 0 || !Monitor.Wait(_gate, (int)left))
                    return null;
            }

            return _snapshot;
        }
    }

    public void Dispose()
    {
        // Wakes the thread that waits for the guard's answers.
        if (_socket.Connected)
            _socket.Shutdown(SocketShutdown.Both);
        _socket.Dispose();
        // Whoever is told of snapshots may be gone next: nothing must be told after this.
        if (Thread.CurrentThread != _receiver)
            _receiver.Join();
    }

    private ReplyRecord? WaitForReply(uint number)
    {
        lock (_gate)
        {
            long until = Environment.TickCount64 + (long)AnswerTime.TotalMilliseconds;
            while (!_replies.ContainsKey(number))
            {
                long left = until - Environment.TickCount64;
                if (_lost || left <= 0 || !Monitor.Wait(_gate, (int)left))
                    break;
            }

            return _replies.TryGetValue(number, out ReplyRecord reply) ? reply : null;
        }
    }

    private void Receive()
    {
        byte[] incoming = new byte[RecordSizes.Longest + 1];
        try
        {
            for (int length = _socket.Receive(incoming); length > 0; length = _socket.Receive(incoming))
                Take(incoming.AsSpan(0, length));
        }
        catch (Exception e) when (e is SocketException or ObjectDisposedException)
        {
            // The guard has gone, or this side has: what follows says so either way.
        }

        lock (_gate)
        {
            _lost = true;
            Monitor.PulseAll(_gate);
        }

        _onSnapshot();
    }

    private void Take(ReadOnlySpan<byte> record)
    {
        bool isSnapshot = SnapshotRecord.TryRead(record, out SnapshotRecord told);
        bool isReply = ReplyRecord.TryRead(record, out ReplyRecord reply);
        lock (_gate)
        {
            if (isSnapshot)
                _snapshot = told;
            if (isReply)
                _replies[reply.Number] = reply;
            Monitor.PulseAll(_gate);
        }

        if (isSnapshot)
            _onSnapshot();
    }
}

/// <summary>Writes one record.</summary>
/// <returns>Its length.</returns>
public delegate int WriteRecord(Span<byte> bytes);
