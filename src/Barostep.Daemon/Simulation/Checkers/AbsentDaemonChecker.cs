using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>SR-36: a daemon that is gone or stands still is not waited for: the guard takes the permission away.</summary>
internal sealed class AbsentDaemonChecker : Checker
{
    /// <summary>One missed word, what the bench's file allows it to be late, and two cycles, µs.</summary>
    private long MostMicros => 150_000 + World.Setup.Bench.LatenessMicros + (2 * World.Setup.Bench.PeriodMicros);

    private long _sinceMicros = long.MaxValue;

    public override string Name => "SR-36 absent daemon";

    public override void GuardCycled(in BenchSnapshot told)
    {
        bool present = World.Sequencer is { IsUp: true, IsStopped: false };
        if (present || told.Phase != GuardPhase.Permitted)
            _sinceMicros = long.MaxValue;
        else if (NowMicros - (_sinceMicros = Math.Min(_sinceMicros, NowMicros)) > MostMicros)
            Report($"{MostMicros / 1000} ms after the daemon fell silent the guard still permits pressure");
    }
}
