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

    private readonly GuardConnection?[] _clients = new GuardConnection?[MostClients];
    private readonly Lock _gate = new();
    private readonly List<GuardConnection> _silent = [];
    private readonly SemaphoreSlim _room = new(MostAtOnce);
    private readonly ManualResetEventSlim _closed = new();
    private readonly Socket _listener;
    private readonly string _path;
    private readonly Action<string> _tell;

    /// <param name="path">Where to listen; what an earlier guard left there is replaced.</param>
    /// <param name="bench">The guard's bench.</param>
    /// <param name="limits">Finds the limits of a run.</param>
    /// <param name="desk">Where what clients want is left.</param>
    /// <param name="callCycle">Called where a wish should not wait for the next cycle.</param>
    /// <param name="tell">Takes facts for people.</param>
    public GuardDoor(string path, string bench, RunLimits limits, GuardDesk desk, Action callCycle, Action<string> tell)
    {
        _path = path;
        _tell = tell;
        Bench = bench;
        Limits = limits;
        Desk = desk;
        CallCycle = callCycle;
        File.Delete(path);
        _listener = GuardSocket.Create();
        _listener.Bind(new UnixDomainSocketEndPoint(path));
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.GroupRead | UnixFileMode.GroupWrite);
        _listener.Listen();
        new Thread(Accept) { IsBackground = true, Name = "door" }.Start();
    }

    public string Bench { get; }

    public RunLimits Limits { get; }

    public GuardDesk Desk { get; }

    public Action CallCycle { get; }

    /// <summary>Tells everybody; waits for nobody.</summary>
    public void TellAll(ReadOnlySpan<byte> record)
    {
        lock (_gate)
        {
            foreach (GuardConnection? client in _clients)
                client?.Tell(record);
        }
    }

    public void Tell(string fact) => _tell(fact);

    /// <summary>A client has said its first word.</summary>
    public void Heard(GuardConnection client)
    {
        lock (_gate)
            _silent.Remove(client);
    }

    /// <summary>Gives a client a place; false where there is none.</summary>
    public bool TryAdd(GuardConnection client)
    {
        lock (_gate)
        {
            int place = Array.IndexOf(_clients, null);
            if (place >= 0)
                _clients[place] = client;
            return place >= 0;
        }
    }

    public void Remove(GuardConnection client)
    {
        lock (_gate)
        {
            _silent.Remove(client);
            int place = Array.IndexOf(_clients, client);
            if (place >= 0)
                _clients[place] = null;
        }

        _room.Release();
    }

    public void Dispose()
    {
        _closed.Set();
        _listener.Dispose();
        lock (_gate)
        {
            foreach (GuardConnection? client in _clients)
                client?.Close();
            _silent.ForEach(client => client.Close());
        }

        File.Delete(_path);
    }

    private void Arrive(GuardConnection client)
    {
        lock (_gate)
        {
            _silent.Add(client);
            if (_silent.Count <= MostSilent)
                return;
            _silent[0].Close();
            _silent.RemoveAt(0);
        }
    }

    private void Accept()
    {
        while (!_closed.IsSet)
        {
            _room.Wait();
            try
            {
                var client = new GuardConnection(_listener.Accept(), this);
                Arrive(client);
                new Thread(client.Serve) { IsBackground = true, Name = "client" }.Start();
            }
            catch (Exception e) when (e is SocketException or ObjectDisposedException)
            {
                // Without this, a crowd that took every descriptor would have shut the door for good.
                _room.Release();
                _closed.Wait(AgainAfter);
            }
        }
    }

}
