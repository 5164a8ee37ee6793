using Barostep.Evaluation;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Certificates;

/// <summary>The budget of one point as a certificate prints it.</summary>
internal static class BudgetText
{
    // From here on Student's t differs from the normal distribution in no digit that is printed.
    private const double PracticallyInfinite = 100_000;

    /// <summary>Of the point whose U is largest beside its limit; null where no uncertainty is known.</summary>
    public static PointBudget? Largest(RunResult result)
    {
        PointResult? point = result.Points.Where(one => one.Budget is not null).MaxBy(one => one.Uncertainty!.Value / one.LimitOfSpan);
        if (point is not { Budget: { } budget, Uncertainty: { } expanded })
            return null;
        string combined = Wording.Invariant($"{Pascals(budget.Combined)}; ν = {Degrees(expanded.DegreesOfFreedom)}, k = {expanded.CoverageFactor:F2}, U = {Pascals(expanded.Value)}");
        return new PointBudget(
            Wording.Invariant($"point {point.Index}, {Wording.Direction(point.Direction)}, cycle {point.Cycle}"),
            [.. budget.Inputs.Where(input => input.StandardUncertainty > 0).Select(Line)],
            combined);
    }

    private static BudgetLine Line(UncertaintyInput input) => new(
        input.Name,
        DistributionText.Word(input.Distribution),
        Pascals(input.StandardUncertainty),
        Wording.Short(input.Sensitivity),
        Degrees(input.DegreesOfFreedom),
        Pascals(input.Contribution));

    private static string Pascals(double value) => Wording.Invariant($"{value:G4} Pa");

    private static string Degrees(double degrees) => degrees >= PracticallyInfinite ? "∞" : Wording.Short(degrees);
}
