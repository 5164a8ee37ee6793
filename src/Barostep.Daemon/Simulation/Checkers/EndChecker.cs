using Barostep.Records;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>Every run ends at the atmosphere, or says that nobody could confirm it; and only one run goes on at a time.</summary>
internal sealed class EndChecker : Checker
{
    /// <summary>1 kPa that proves it, and what both sensors may be wrong by, Pa.</summary>
    private const double BandPascals = 1_500;

    public override string Name => "end";

    public override void RunEnded(RunRecord record)
    {
        double gauge = World.Truth.PressurePa - World.Truth.AtmospherePa;
        if (record.VentConfirmed && Math.Abs(gauge) > BandPascals && !WorstCase.IsBeyondSoftware(World.Faults.Touched))
            Report($"the run ended as {record.Outcome} and says that the bench was vented, which is at {gauge / 1e5:0.000} bar gauge");
    }

    public override void Over()
    {
        if (World.People.SecondRunBegan)
            Report("the guard took a second run while one was going on");
    }
}
