using Barostep.Daemon.Sweeps;
using Barostep.Lines.GuardLine;

namespace Barostep.Daemon.Benchmarks;

/// <summary>One of the simulated benches of a soak: its simulator's process, and what its guard tells.</summary>
internal sealed class SoakBench : IDisposable
{
    private readonly BenchProcess _simulator;
    private GuardClient? _guard;
    private SnapshotRecord _begun;

    /// <param name="name">Name of the bench.</param>
    /// <param name="ports">Folder in which the daemon looks for the bench's ports.</param>
    /// <param name="seed">Of its noise.</param>
    public SoakBench(string name, string ports, ulong seed)
    {
        Name = name;
        _simulator = BenchProcess.Start("demo", seed, truthPath: null);
        Directory.CreateSymbolicLink(Path.Combine(ports, name), _simulator.Ports);
    }

    public string Name { get; }

    /// <summary>Cycles since the soak began.</summary>
    public long Cycles => Now.Bench.Tick - _begun.Bench.Tick;

    /// <summary>Those of them that began more than 20 ms late.</summary>
    public long LateCycles => Now.Guard.LateCycles - _begun.Guard.LateCycles;

    /// <summary>Since the guard's start, its first seconds included.</summary>
    public double WorstLatenessMs => Now.Guard.WorstLatenessMicros / 1e3;

    /// <summary>The cause of a trip that waits for a person; none while there is no trip.</summary>
    public Safety.Cause Trip => Now.Bench.FirstCause;

    private SnapshotRecord Now => _guard?.Snapshot ?? _begun;

    /// <summary>Begins to count: the guard runs and has shown its bench vented.</summary>
    /// <exception cref="RefusedException">It tells nothing.</exception>
    public void Begin(string state)
    {
        _guard = GuardClient.TryConnect(GuardSocket.PathOf(state, Name), new HelloRecord(ClientRole.Watcher, Name));
        _begun = _guard?.WaitFor(static _ => true, TimeSpan.FromSeconds(30)) ?? throw new RefusedException($"the guard of {Name} tells nothing");
    }

    public void Dispose()
    {
        _guard?.Dispose();
        _simulator.Dispose();
    }
}
