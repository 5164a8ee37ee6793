namespace Barostep.Evaluation.Uncertainty;

/// <summary>Which coverage factor is taken.</summary>
public enum CoverageChoice
{
    /// <summary>Student's t for the effective degrees of freedom (GUM annex G).</summary>
    StudentT,

    /// <summary>As <see cref="UncertaintyBudget.ExpandedAfterEa402"/>.</summary>
    Ea402,
}

/// <summary>A budget as it was written in a file.</summary>
/// <param name="Quantity">Name of the output.</param>
/// <param name="Unit">Of the output; empty where it has none.</param>
/// <param name="Formula">As written; empty where sensitivities were given.</param>
/// <param name="CoverageProbability">Ignored with <see cref="CoverageChoice.Ea402"/>, except by a Monte Carlo run.</param>
/// <param name="MonteCarloDigits">Digits of the standard uncertainty that a Monte Carlo run must settle, 1 or 2; null as in <see cref="MonteCarloOptions"/>.</param>
public sealed record BudgetDefinition(
    string Title,
    string Quantity,
    string Unit,
    string Formula,
    MeasurementModel Model,
    bool SecondOrder,
    CoverageChoice Coverage,
    double CoverageProbability,
    int? MonteCarloDigits)
{
    public ExpandedUncertainty Expand(UncertaintyBudget budget)
    {
        ArgumentNullException.ThrowIfNull(budget);
        return Coverage switch
        {
            CoverageChoice.StudentT => budget.Expanded(CoverageProbability),
            CoverageChoice.Ea402 => budget.ExpandedAfterEa402(),
            _ => throw new ArgumentOutOfRangeException(nameof(budget), Coverage, "unknown coverage"),
        };
    }

    /// <summary>The budget's interval for the coverage probability of the Monte Carlo run, against that run.</summary>
    /// <remarks>By Student's t whatever the coverage: intervals for different probabilities cannot agree.</remarks>
    public BudgetValidation Validate(UncertaintyBudget budget, MonteCarloResult monteCarlo)
    {
        ArgumentNullException.ThrowIfNull(budget);
        return BudgetValidation.Of(Model.Value, budget.Expanded(CoverageProbability), monteCarlo);
    }
}
