using Barostep.Safety;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I16: the dump valve's keep-alive leaves only from a guard that has just decided so, never after a trip.</summary>
internal sealed class KeepAliveChecker : Checker
{
    /// <summary>200 ms, or what the bench's file allows a cycle to be late, and a cycle.</summary>
    private long OldestCycleMicros => Math.Max(150_000, World.Setup.Bench.LatenessMicros) + World.Setup.Bench.PeriodMicros;

    private long _cycleMicros;

    public override string Name => "I16 keep-alive";

    public override void GuardCycled(in Control.BenchSnapshot told) => _cycleMicros = told.NowMicros;

    public override void Sent(string port, ReadOnlySpan<byte> bytes)
    {
        if (port != "dump" || bytes.Length == 0 || (bytes[0] != (byte)'K' && bytes[0] != (byte)'A'))
            return;
        GuardPhase phase = World.Guard.Last.Phase;
        // By the computer's own clock: what slept while the keep-alive waited cannot know how long.
        long age = World.MonotonicMicros - _cycleMicros;
        if (age > OldestCycleMicros)
            Report($"a keep-alive left {age / 1000} ms after the guard's last cycle");
        else if (phase is GuardPhase.Tripped or GuardPhase.Boot or GuardPhase.Safe)
            Report($"a keep-alive left in phase {phase}");
    }
}
