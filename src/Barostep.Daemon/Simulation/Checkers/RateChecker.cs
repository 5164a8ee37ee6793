using Barostep.Daemon.Simulation.Faults;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I13: while regulated or vented in an orderly way, the pressure changes no faster than the bench allows.</summary>
internal sealed class RateChecker : Checker
{
    /// <summary>The rate is taken over so many looks: 0.5 s.</summary>
    private const int Looks = 50;

    /// <summary>A trip is at 1.2 times the allowed rate, and takes two readings.</summary>
    private const double Slack = 1.3;

    /// <summary>Below what half a second at the allowed rate takes away the source's own vent is open.</summary>
    private const double FreeSeconds = 0.6;

    private const Reach Excused = Reach.GasMoves | Reach.FillOpen | Reach.VentShut | Reach.SourceLies | Reach.SourceDeaf | Reach.SourceBlind
        | Reach.DumpDeaf | Reach.Foreign | Reach.GuardGone | Reach.PersonActs | Reach.ClockMoves | Reach.ReferenceLies | Reach.ReferenceBlind;

    private readonly Queue<double> _pressures = new(Looks + 1);

    public override string Name => "I13 rate";

    public override void Look(in TrueState truth)
    {
        GuardPhase phase = World.Guard.Last.Phase;
        bool orderly = World.Guard.IsUp && phase is GuardPhase.Permitted or GuardPhase.Venting or GuardPhase.Stopping;
        double allowed = World.Setup.Bench.MaxRatePascalsPerSecond;
        if (!orderly || (World.Faults.Touched & Excused) != 0 || truth.PressurePa - truth.AtmospherePa < allowed * FreeSeconds)
        {
            _pressures.Clear();
            return;
        }

        _pressures.Enqueue(truth.PressurePa);
        if (_pressures.Count <= Looks)
            return;
        double rate = Math.Abs(truth.PressurePa - _pressures.Dequeue()) / (Looks * World.TruthMicros * 1e-6);
        if (rate > Slack * allowed)
            Report($"the pressure changes by {rate / 1e5:0.000} bar/s; {allowed / 1e5:0.000} bar/s are allowed");
    }
}
