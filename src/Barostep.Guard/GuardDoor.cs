using System.Net.Sockets;
using Barostep.Lines.GuardLine;

namespace Barostep.Guard;

/// <summary>Where clients come in: the guard's socket, and everybody who is connected to it.</summary>
internal sealed class GuardDoor : IDisposable
{
    /// <summary>One sequencer and eight who look on.</summary>
    private const int MostClients = 9;

    /// <summary>Who has not said a word yet; the one that was silent longest makes room for the next.</summary>
    private const int MostSilent = 16;

    /// <summary>Threads and descriptors that all of them together may have, at any moment.</summary>
    private const int MostAtOnce = 32;

    /// <summary>Where a client could not be let in, because no descriptor was left, this is waited before the next.</summary>
    private static readonly TimeSpan AgainAfter = TimeSpan.FromMilliseconds(100);

    private readonly GuardConnection?[] clients = new GuardConnection?[MostClients];
    private readonly Lock gate = new();
    private readonly List<GuardConnection> silent = [];
    private readonly SemaphoreSlim room = new(MostAtOnce);
    private readonly ManualResetEventSlim closed = new();
    private readonly Socket listener;
    private readonly string path;
    private readonly Action<string> tell;

    /// <param name="path">Where to listen; what an earlier guard left there is replaced.</param>
    /// <param name="bench">The guard's bench.</param>
    /// <param name="limits">Finds the limits of a run.</param>
    /// <param name="desk">Where what clients want is left.</param>
    /// <param name="callCycle">Called where a wish should not wait for the next cycle.</param>
    /// <param name="tell">Takes facts for people.</param>
    public GuardDoor(string path, string bench, RunLimits limits, GuardDesk desk, Action callCycle, Action<string> tell)
    {
        this.path = path;
        this.tell = tell;
        Bench = bench;
        Limits = limits;
        Desk = desk;
        CallCycle = callCycle;
        File.Delete(path);
        listener = GuardSocket.Create();
        listener.Bind(new UnixDomainSocketEndPoint(path));
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.GroupRead | UnixFileMode.GroupWrite);
        listener.Listen();
        new Thread(Accept) { IsBackground = true, Name = "door" }.Start();
    }

    public string Bench { get; }

    public RunLimits Limits { get; }

    public GuardDesk Desk { get; }

    public Action CallCycle { get; }

    /// <summary>Tells everybody; waits for nobody.</summary>
    public void TellAll(ReadOnlySpan<byte> record)
    {
        lock (gate)
        {
            foreach (GuardConnection? client in clients)
                client?.Tell(record);
        }
    }

    public void Tell(string fact) => tell(fact);

    /// <summary>A client has said its first word.</summary>
    public void Heard(GuardConnection client)
    {
        lock (gate)
            silent.Remove(client);
    }

    /// <summary>Gives a client a place; false where there is none.</summary>
    public bool TryAdd(GuardConnection client)
    {
        lock (gate)
        {
            int place = Array.IndexOf(clients, null);
            if (place >= 0)
                clients[place] = client;
            return place >= 0;
        }
    }

    public void Remove(GuardConnection client)
    {
        lock (gate)
        {
            silent.Remove(client);
            int place = Array.IndexOf(clients, client);
            if (place >= 0)
                clients[place] = null;
        }

        room.Release();
    }

    public void Dispose()
    {
        closed.Set();
        listener.Dispose();
        lock (gate)
        {
            foreach (GuardConnection? client in clients)
                client?.Close();
            silent.ForEach(client => client.Close());
        }

        File.Delete(path);
    }

    private void Arrive(GuardConnection client)
    {
        lock (gate)
        {
            silent.Add(client);
            if (silent.Count <= MostSilent)
                return;
            silent[0].Close();
            silent.RemoveAt(0);
        }
    }

    private void Accept()
    {
        while (!closed.IsSet)
        {
            room.Wait();
            try
            {
                var client = new GuardConnection(listener.Accept(), this);
                Arrive(client);
                new Thread(client.Serve) { IsBackground = true, Name = "client" }.Start();
            }
            catch (Exception e) when (e is SocketException or ObjectDisposedException)
            {
                // Without this, a crowd that took every descriptor would have shut the door for good.
                room.Release();
                closed.Wait(AgainAfter);
            }
        }
    }

}
