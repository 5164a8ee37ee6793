using System.Net.Sockets;

namespace Barostep.Lines.GuardLine;

/// <summary>A connection to the guard of one bench.</summary>
public sealed class GuardClient : IDisposable
{
    private static readonly TimeSpan AnswerTime = TimeSpan.FromSeconds(5);

    private readonly Socket socket;
    private readonly Action onSnapshot;
    private readonly object gate = new();
    private readonly byte[] outgoing = new byte[RecordSizes.Longest];
    private readonly Dictionary<uint, ReplyRecord> replies = [];
    private readonly Thread receiver;
    private SnapshotRecord? snapshot;
    private uint requests;
    private bool lost;

    private GuardClient(Socket socket, Action onSnapshot)
    {
        this.socket = socket;
        this.onSnapshot = onSnapshot;
        receiver = new Thread(Receive) { IsBackground = true, Name = "guard's answers" };
        receiver.Start();
    }

    /// <summary>Whether the guard is still there.</summary>
    public bool IsConnected
    {
        get
        {
            lock (gate)
                return !lost;
        }
    }

    /// <summary>The newest snapshot; null before the first.</summary>
    public SnapshotRecord? Snapshot
    {
        get
        {
            lock (gate)
                return snapshot;
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
        lock (outgoing)
        {
            // A guard that takes nothing any more is told nothing: what it was not told lapses.
            int length = write(outgoing);
            GuardSocket.TrySend(socket, outgoing.AsSpan(0, length));
        }
    }

    /// <summary>Sends a request and waits for its reply; null where none came in time.</summary>
    /// <param name="record">Makes the record, given its number.</param>
    public ReplyRecord? Ask(Func<uint, WriteRecord> record)
    {
        ArgumentNullException.ThrowIfNull(record);
        uint number = ++requests;
        Send(record(number));
        return WaitForReply(number);
    }

    /// <summary>Waits until a snapshot shows what is wanted; null where none did in time.</summary>
    public SnapshotRecord? WaitFor(Predicate<SnapshotRecord> wanted, TimeSpan longest)
    {
        ArgumentNullException.ThrowIfNull(wanted);
        lock (gate)
        {
            long until = Environment.TickCount64 + (long)longest.TotalMilliseconds;
            while (snapshot is not { } told || !wanted(told))
            {
                long left = until - Environment.TickCount64;
                if (lost || left <= 0 || !Monitor.Wait(gate, (int)left))
                    return null;
            }

            return snapshot;
        }
    }

    public void Dispose()
    {
        // Wakes the thread that waits for the guard's answers.
        if (socket.Connected)
            socket.Shutdown(SocketShutdown.Both);
        socket.Dispose();
        // Whoever is told of snapshots may be gone next: nothing must be told after this.
        if (Thread.CurrentThread != receiver)
            receiver.Join();
    }

    private ReplyRecord? WaitForReply(uint number)
    {
        lock (gate)
        {
            long until = Environment.TickCount64 + (long)AnswerTime.TotalMilliseconds;
            while (!replies.ContainsKey(number))
            {
                long left = until - Environment.TickCount64;
                if (lost || left <= 0 || !Monitor.Wait(gate, (int)left))
                    break;
            }

            return replies.TryGetValue(number, out ReplyRecord reply) ? reply : null;
        }
    }

    private void Receive()
    {
        byte[] incoming = new byte[RecordSizes.Longest + 1];
        try
        {
            for (int length = socket.Receive(incoming); length > 0; length = socket.Receive(incoming))
                Take(incoming.AsSpan(0, length));
        }
        catch (Exception e) when (e is SocketException or ObjectDisposedException)
        {
            // The guard has gone, or this side has: what follows says so either way.
        }

        lock (gate)
        {
            lost = true;
            Monitor.PulseAll(gate);
        }

        onSnapshot();
    }

    private void Take(ReadOnlySpan<byte> record)
    {
        bool isSnapshot = SnapshotRecord.TryRead(record, out SnapshotRecord told);
        bool isReply = ReplyRecord.TryRead(record, out ReplyRecord reply);
        lock (gate)
        {
            if (isSnapshot)
                snapshot = told;
            if (isReply)
                replies[reply.Number] = reply;
            Monitor.PulseAll(gate);
        }

        if (isSnapshot)
            onSnapshot();
    }
}

/// <summary>Writes one record.</summary>
/// <returns>Its length.</returns>
public delegate int WriteRecord(Span<byte> bytes);
