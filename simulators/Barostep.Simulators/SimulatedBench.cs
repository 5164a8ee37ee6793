namespace Barostep.Simulators;

using Barostep.Simulators.Wire;

/// <summary>
/// The bench in memory on virtual time: plant, device under test, instruments and lines. One thread; bit for bit
/// repeatable from the description, the seed, and what is written and injected when.
/// </summary>
public sealed class SimulatedBench
{
    /// <exception cref="BenchFileException">The bench cannot be built from the description.</exception>
    public SimulatedBench(BenchDescription description, ulong seed) => throw new NotImplementedException();

    /// <summary>A bench from a file, or by name from the shipped <c>benches</c> folder.</summary>
    /// <exception cref="BenchFileException">The file is missing or wrong; the message names file, line and rule.</exception>
    public static SimulatedBench Load(string pathOrName, ulong seed) => new(BenchFile.Load(pathOrName), seed);

    public IReadOnlyList<SimulatedPort> Ports => throw new NotImplementedException();

    public long NowMicros => throw new NotImplementedException();

    /// <summary>
    /// A bound from below on the time of the next delivery to any host port; <see cref="long.MaxValue"/> when nothing
    /// is under way. A host that advances to this time, reads, and asks again misses nothing and waits for nothing.
    /// </summary>
    public long NextEventMicros => throw new NotImplementedException();

    public TrueState Truth => throw new NotImplementedException();

    public SimulatedPort Port(string name) => throw new NotImplementedException();

    /// <summary>Runs everything up to and including the given time, in order.</summary>
    public void AdvanceTo(long micros) => throw new NotImplementedException();

    /// <summary>Applies one fault line now; the grammar is in docs/simulation.md.</summary>
    /// <exception cref="FaultLineException">The line is not understood; the message says what to write.</exception>
    public void Inject(string faultLine) => throw new NotImplementedException();

    /// <summary>Calls back with the true state at each multiple of the interval, a whole number of milliseconds.</summary>
    public void SampleTruth(long intervalMicros, Action<TrueState> sample) => throw new NotImplementedException();
}
