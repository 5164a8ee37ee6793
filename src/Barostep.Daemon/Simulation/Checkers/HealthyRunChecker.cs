using Barostep.Control;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I11: where nothing is wrong, or only the wall clock and the weather, nothing trips and the run completes.</summary>
internal sealed class HealthyRunChecker : Checker
{
    public override string Name => "I11 healthy run";

    private bool IsHealthy => (World.Faults.Touched & ~Reach.WallMoves) == 0 && World.Faults.Begun.All(fault => fault.Kind.Reach == Reach.WallMoves);

    public override void GuardCycled(in BenchSnapshot told)
    {
        if (IsHealthy && told.Verdict >= Verdict.Abort && told.Phase != GuardPhase.Boot)
            Report($"verdict {told.Verdict} with nothing wrong: {told.Causes}");
    }

    public override void RunEnded(RunRecord record)
    {
        if (IsHealthy && record.Outcome != RunOutcome.Completed)
            Report($"a run with nothing wrong ended as {record.Outcome}: {record.OutcomeReason}");
    }
}
