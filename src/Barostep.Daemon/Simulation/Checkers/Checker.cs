using Barostep.Control;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>An invariant that did not hold.</summary>
/// <param name="Invariant">Its name.</param>
/// <param name="AtMicros">When, in the bench's time.</param>
/// <param name="What">What was seen, and what should have been.</param>
internal sealed record Violation(string Invariant, long AtMicros, string What);

/// <summary>
/// Watches one invariant. It sees the truth and what passes between the parts, and computes what it compares with by
/// itself, from the bench and nothing of the program's own figures.
/// </summary>
internal abstract class Checker
{
    private World? _world;

    /// <summary>The invariant's name.</summary>
    public abstract string Name { get; }

    /// <summary>The first time that it did not hold; null where it always did.</summary>
    public Violation? Found { get; private set; }

    protected World World => _world ?? throw new InvalidOperationException("a checker is asked before it is attached");

    protected long NowMicros => World.NowMicros;

    public void Attach(World world) => _world = world;

    /// <summary>The true state, each 10 ms.</summary>
    public virtual void Look(in TrueState truth)
    {
    }

    /// <summary>Bytes left for an instrument.</summary>
    public virtual void Sent(string port, ReadOnlySpan<byte> bytes)
    {
    }

    /// <summary>Bytes arrived from an instrument.</summary>
    public virtual void Heard(string port, ReadOnlySpan<byte> bytes)
    {
    }

    public virtual void GuardStarted(bool wasLeftOpen)
    {
    }

    public virtual void GuardCycled(in BenchSnapshot told)
    {
    }

    public virtual void VentAsked(bool atOnce)
    {
    }

    public virtual void RunBegan(SweepJob job)
    {
    }

    public virtual void Happened(RunEvent happened)
    {
    }

    public virtual void RunEnded(RunRecord record)
    {
    }

    public virtual void FaultBegan(PlannedFault fault)
    {
    }

    /// <summary>The world has come to its end.</summary>
    public virtual void Over()
    {
    }

    protected void Report(string what) => Found ??= new Violation(Name, NowMicros, what);
}
