using Barostep.Control;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I11: where nothing is wrong, nothing trips and the run completes.</summary>
internal sealed class HealthyRunChecker : Checker
{
    public override string Name => "I11 healthy run";

    public override void GuardCycled(in BenchSnapshot told)
    {
        if (World.Faults.Touched == 0 && !World.Faults.Begun.Any() && told.Verdict >= Verdict.Abort && told.Phase != GuardPhase.Boot)
            Report($"verdict {told.Verdict} with nothing wrong: {told.Causes}");
    }

    public override void RunEnded(RunRecord record)
    {
        if (World.Faults.Touched == 0 && !World.Faults.Begun.Any() && record.Outcome != RunOutcome.Completed)
            Report($"a run with nothing wrong ended as {record.Outcome}: {record.OutcomeReason}");
    }
}
