namespace Barostep.Evaluation.Uncertainty;

/// <summary>Whether a GUM budget's interval agrees with the one by Monte Carlo (JCGM 101:2008 clause 8.1).</summary>
/// <param name="Budget">y ± U.</param>
/// <param name="LowDifference">Distance of the lower ends.</param>
/// <param name="HighDifference">Distance of the upper ends.</param>
/// <param name="Tolerance">δ, which neither may exceed.</param>
public sealed record BudgetValidation(CoverageInterval Budget, double LowDifference, double HighDifference, double Tolerance)
{
    public bool IsValidated => LowDifference <= Tolerance && HighDifference <= Tolerance;

    /// <summary>Against the shortest interval, as the tables of JCGM 101 clause 9 do.</summary>
    public static BudgetValidation Of(double value, ExpandedUncertainty expanded, MonteCarloResult monteCarlo)
    {
        CoverageInterval budget = new(value - expanded.Value, value + expanded.Value);
        return new BudgetValidation(
            budget,
            Math.Abs(budget.Low - monteCarlo.Shortest.Low),
            Math.Abs(budget.High - monteCarlo.Shortest.High),
            monteCarlo.NumericalTolerance);
    }
}
