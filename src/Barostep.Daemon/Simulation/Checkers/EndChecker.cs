using Barostep.Records;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>Every run ends at the atmosphere, or says that nobody could confirm it; and only one run goes on at a time.</summary>
internal sealed class EndChecker : Checker
{
    /// <summary>1 kPa that proves it, and what both sensors may be wrong by, Pa.</summary>
    private const double BandPascals = 1_500;

    /// <summary>Gas that leaves the atmosphere as the run ends is told by the slower sensor only so much later, s.</summary>
    private const double ToldSeconds = 0.5;

    private long _atAtmosphereMicros = long.MinValue / 2;

    public override string Name => "end";

    public override void Look(in TrueState truth)
    {
        if (Math.Abs(truth.PressurePa - truth.AtmospherePa) <= BandPascals)
            _atAtmosphereMicros = truth.TimeMicros;
    }

    public override void RunEnded(RunRecord record)
    {
        double gauge = World.Truth.PressurePa - World.Truth.AtmospherePa;
        bool away = NowMicros - _atAtmosphereMicros > ToldSeconds * 1e6;
        if (record.VentConfirmed && away && !WorstCase.IsBeyondSoftware(World.Faults.Touched))
            Report($"the run ended as {record.Outcome} and says that the bench was vented, which is at {gauge / 1e5:0.000} bar gauge");
    }

    public override void Over()
    {
        if (World.People.SecondRunBegan)
            Report("the guard took a second run while one was going on");
    }
}
