using Barostep.Daemon.Simulation.Faults;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I6: the fill valve is open only under a live lease, and no lease reaches further than it may.</summary>
internal sealed class LeaseChecker : Checker
{
    private const double OpenShare = 0.002;

    /// <summary>From the end of a lease to a shut valve: a cycle, the longest exchange, the vent, the source's loop, the valve, µs.</summary>
    private const long ShutsWithinMicros = 250_000;

    /// <summary>These leave the valve to somebody or something else.</summary>
    private const Reach Excused = Reach.FillOpen | Reach.SourceDeaf | Reach.SourceBlind | Reach.Foreign | Reach.GuardGone | Reach.ClockMoves;

    private long _openSinceMicros = long.MaxValue;

    public override string Name => "I6 lease";

    public override void Look(in TrueState truth)
    {
        if (!World.Guard.IsUp || (World.Faults.Touched & Excused) != 0)
        {
            _openSinceMicros = long.MaxValue;
            return;
        }

        SafetyState state = World.Guard.State;
        long lease = World.Clock.BenchTimeAt(state.LeaseUntilMicros);
        long longest = Math.Max(150_000, World.Setup.Bench.LatenessMicros);
        if (state.LeaseUntilMicros > 0 && lease - World.Guard.LastCycleMicros > longest)
            Report($"a lease reaches {lease - World.Guard.LastCycleMicros} µs ahead; {longest} µs are allowed");
        // Coming down at a rate is regulating, and a regulator trims with both valves.
        bool comesDown = state.Phase is GuardPhase.Venting or GuardPhase.Stopping;
        if (truth.FillOpening <= OpenShare || comesDown || (state.LeaseUntilMicros > 0 && truth.TimeMicros <= lease))
        {
            _openSinceMicros = long.MaxValue;
            return;
        }

        _openSinceMicros = Math.Min(_openSinceMicros, truth.TimeMicros);
        if (truth.TimeMicros - _openSinceMicros > ShutsWithinMicros)
            Report($"the fill valve is open by {truth.FillOpening:0.000} without a lease for more than {ShutsWithinMicros / 1000} ms, guard phase {state.Phase}");
    }
}
