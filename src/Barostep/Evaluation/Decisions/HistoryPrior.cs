using Barostep.Configuration;
using Barostep.Evaluation.Drift;
using Barostep.Evaluation.Uncertainty;
using Barostep.Records;

namespace Barostep.Evaluation.Decisions;

/// <summary>The prior of a rule that needs one, from what the device itself was found with before (JCGM 106, 7.2 and 9.3: what is known before the measurement).</summary>
public static class HistoryPrior
{
    /// <summary>Fewer runs than this say less than what was agreed for all devices of the kind.</summary>
    public const int FewestRuns = 5;

    /// <summary>The agreement with the scatter of the device's own errors about 0, as a share of span; as it was agreed where the rule needs no prior or the history is short.</summary>
    /// <param name="agreed">Before the run.</param>
    /// <param name="history">Earlier runs of the same device.</param>
    /// <param name="simulated">Whether the run to come is a simulated one: the two kinds say nothing of each other.</param>
    public static DecisionAgreement Of(DecisionAgreement agreed, IReadOnlyList<RunErrors> history, bool simulated)
    {
        ArgumentNullException.ThrowIfNull(agreed);
        // As left says how it was adjusted, not what it comes back with.
        RunErrors[] found = [.. history.Where(run => run.Outcome == RunOutcome.Completed && run.Simulated == simulated && run.Stage != JobStage.AsLeft && run.Points.Count > 0)];
        if (agreed.Rule != AgreedRule.RiskOfAllDevices || found.Length < FewestRuns)
            return agreed;
        double deviation = Math.Sqrt(found.SelectMany(run => run.Points).Average(point => point.ErrorOfSpan * point.ErrorOfSpan));
        // A device is another one in the records when its agreement changes: two digits, so that not each run makes one.
        return agreed with { PriorDeviationOfSpan = deviation == 0 ? 0 : (double)StatedResult.Of(0, deviation).Uncertainty };
    }
}
