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
}
