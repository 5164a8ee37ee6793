using System.Net.Sockets;
using Barostep.Lines.GuardLine;

namespace Barostep.Guard;

/// <summary>Where clients come in: the guard's socket, and everybody who is connected to it.</summary>
internal sealed class GuardDoor : IDisposable
{
    /// <summary>One sequencer and eight who look on.</summary>
    private const int MostClients = 9;

    private readonly GuardConnection?[] clients = new GuardConnection?[MostClients];
    private readonly Lock gate = new();
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

    /// <summary>Gives a client a place; false where there is none. It is still heard once, so that it can be told why.</summary>
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
            int place = Array.IndexOf(clients, client);
            if (place >= 0)
                clients[place] = null;
        }
    }

    public void Dispose()
    {
        listener.Dispose();
        lock (gate)
        {
            foreach (GuardConnection? client in clients)
                client?.Close();
        }

        File.Delete(path);
    }

    private void Accept()
    {
        try
        {
            while (true)
            {
                Socket socket = listener.Accept();
                new Thread(new GuardConnection(socket, this).Serve) { IsBackground = true, Name = "client" }.Start();
            }
        }
        catch (Exception e) when (e is SocketException or ObjectDisposedException)
        {
            // The door was closed.
        }
    }

}
