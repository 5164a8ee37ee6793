using Barostep.Configuration;

namespace Barostep.Certificates;

/// <summary>How a result becomes a statement of conformity, as agreed before the work (ISO/IEC 17025:2017, 7.8.6).</summary>
/// <param name="Name">What the rule is called.</param>
/// <param name="Formula">The rule as a formula over the error E, the limit L and, where it takes part, U.</param>
/// <param name="Meaning">What that does to the risk of a wrong statement.</param>
public sealed record DecisionRule(string Name, string Formula, string Meaning)
{
    /// <summary>The rule of <see cref="Evaluation.RunEvaluation"/>: the uncertainty takes no part (ILAC-G8:09/2019, 4.2.1).</summary>
    public static readonly DecisionRule SimpleAcceptance = new(
        "Simple acceptance",
        "pass if |E| ≤ L, fail if |E| > L",
        "E is the error of indication and L the limit; the uncertainty is not taken into account. "
        + "For an error close to the limit the statement may be wrong with a probability of up to 50 %.");

    /// <summary>The rule that was agreed, in the words of a certificate.</summary>
    public static DecisionRule Of(DecisionAgreement agreement) => agreement.Rule switch
    {
        AgreedRule.PlainLimit => SimpleAcceptance,
        AgreedRule.KeepAway => new(
            "Guard band of a multiple of U",
            Wording.Invariant($"pass if |E| ≤ L − {agreement.GuardBandOfUncertainty:0.##} U, fail otherwise"),
            "E is the error of indication, L the limit and U its expanded uncertainty. With a guard band of U a pass is wrong with a probability of less than 2.5 % (ILAC-G8:09/2019, 4.2.2)."),
        AgreedRule.FourZones => new(
            "Four zones",
            Wording.Invariant($"pass if |E| ≤ L − w, conditional pass if |E| ≤ L, conditional fail if |E| ≤ L + w, fail beyond; w = {agreement.GuardBandOfUncertainty:0.##} U"),
            "E is the error of indication, L the limit and U its expanded uncertainty. A conditional statement may be wrong with a probability of up to 50 % (ILAC-G8:09/2019, 4.2.3)."),
        AgreedRule.RiskOfThisDevice => new(
            "Risk of this item",
            Wording.Invariant($"pass if P(|true error| > L) ≤ {agreement.MostFalseAccept * 100:0.###} %, fail otherwise"),
            "P is the probability from this measurement and its uncertainty alone (JCGM 106:2012, 8.3.2). It bounds the probability that a pass is wrong."),
        AgreedRule.RiskOfAllDevices => new(
            "Risk over all items of the kind",
            Wording.Invariant($"pass if |E| ≤ L − w, with the least w for which at most {agreement.MostFalseAccept * 100:0.###} % of all items are falsely accepted"),
            Wording.Invariant($"The errors of all items of the kind are taken as normal about 0 with a standard deviation of {agreement.PriorDeviationOfSpan * 100:0.####} % of span (JCGM 106:2012, 9.5). A single pass may be wrong with a higher probability.")),
        _ => throw new ArgumentOutOfRangeException(nameof(agreement), agreement.Rule, "unknown rule"),
    };
}
