using Barostep.Configuration;

namespace Barostep.Evaluation.Decisions;

/// <summary>From a rule as it was agreed to the rule as it is computed.</summary>
public static class DecisionRules
{
    /// <param name="agreement">The rule by its name, with its parameters.</param>
    /// <param name="spanPascals">Span of the device, since a prior is agreed as a share of it.</param>
    public static DecisionRule Of(DecisionAgreement agreement, double spanPascals) => agreement.Rule switch
    {
        AgreedRule.PlainLimit => new DecisionRule.PlainLimit(),
        AgreedRule.KeepAway => new DecisionRule.KeepAway(agreement.GuardBandOfUncertainty),
        AgreedRule.FourZones => new DecisionRule.FourZones(agreement.GuardBandOfUncertainty),
        AgreedRule.RiskOfThisDevice => new DecisionRule.RiskOfThisDevice(agreement.MostFalseAccept),
        AgreedRule.RiskOfAllDevices => new DecisionRule.RiskOfAllDevices(
            agreement.MostFalseAccept, new NormalPrior(0, agreement.PriorDeviationOfSpan * spanPascals)),
        _ => throw new ArgumentOutOfRangeException(nameof(agreement), agreement.Rule, "unknown rule"),
    };
}
