using Barostep.Safety;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I16: the dump valve's keep-alive leaves only from a guard that has just decided so, never after a trip.</summary>
internal sealed class KeepAliveChecker : Checker
{
    private const long OldestCycleMicros = 200_000;

    public override string Name => "I16 keep-alive";

    public override void Sent(string port, ReadOnlySpan<byte> bytes)
    {
        if (port != "dump" || bytes.Length == 0 || (bytes[0] != (byte)'K' && bytes[0] != (byte)'A'))
            return;
        GuardPhase phase = World.Guard.Last.Phase;
        long age = NowMicros - World.Guard.LastCycleMicros;
        if (age > OldestCycleMicros)
            Report($"a keep-alive left {age / 1000} ms after the guard's last cycle");
        else if (phase is GuardPhase.Tripped or GuardPhase.Boot or GuardPhase.Safe)
            Report($"a keep-alive left in phase {phase}");
    }
}
