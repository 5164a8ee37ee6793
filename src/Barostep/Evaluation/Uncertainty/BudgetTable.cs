using System.Globalization;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>A budget as a text table that anyone can add up again: the squares in its last column make the variance.</summary>
public static class BudgetTable
{
    private const string Gap = "  ";

    // From here on Student's t differs from the normal distribution in no digit that is printed.
    private const double ManyDegrees = 1_000_000;
    private const string Number = "G6";
    private const string Square = "0.0000E+00";

    private static readonly string[] _head = ["input", "estimate", "unit", "u", "distribution", "nu", "sensitivity", "c*u", "(c*u)^2", "share %"];

    public static void Write(TextWriter writer, BudgetDefinition definition, UncertaintyBudget budget, MonteCarloResult? monteCarlo)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(definition);
        ArgumentNullException.ThrowIfNull(budget);
        if (definition.Title.Length > 0)
            writer.WriteLine(definition.Title);
        writer.WriteLine(definition.Formula.Length > 0
            ? $"{definition.Quantity} = {definition.Formula}"
            : $"{definition.Quantity} = sum of sensitivity times input");
        writer.WriteLine();
        WriteRows(writer, budget);
        writer.WriteLine();
        WriteResult(writer, definition, budget);
        if (monteCarlo is not null)
            WriteMonteCarlo(writer, definition, budget, monteCarlo);
    }

    /// <summary>The value and U rounded together; where U is nothing, or beyond any decimal, as plain numbers.</summary>
    public static string Stated(double value, double expanded)
    {
        if (expanded is not (> 1e-20 and < 1e20) || !(Math.Abs(value) < 1e20))
            return Invariant($"{value:G6} ± {expanded:G2}");
        StatedResult stated = StatedResult.Of(value, expanded);
        return $"{stated.ValueText} ± {stated.UncertaintyText}";
    }

    private static void WriteRows(TextWriter writer, UncertaintyBudget budget)
    {
        List<string[]> rows = [_head];
        rows.AddRange(budget.Inputs.Select(input => Row(budget, input)));
        foreach (Correlation correlation in budget.Correlations)
            rows.Add(Extra(Invariant($"{correlation.First}, {correlation.Second}: r = {correlation.Coefficient:G4}"), budget, budget.VarianceOf(correlation)));
        if (budget.HigherOrderVariance != 0)
            rows.Add(Extra("second-order terms", budget, budget.HigherOrderVariance));
        rows.Add(Extra("sum", budget, budget.Combined * budget.Combined));
        int[] widths = [.. Enumerable.Range(0, _head.Length).Select(column => rows.Max(row => row[column].Length))];
        string rule = new('-', widths.Sum() + (Gap.Length * (widths.Length - 1)));
        for (int i = 0; i < rows.Count; i++)
        {
            if (i == 1 || i == rows.Count - 1)
                writer.WriteLine(rule);
            writer.WriteLine(string.Join(Gap, rows[i].Select((cell, column) => column is 0 or 2 or 4 ? cell.PadRight(widths[column]) : cell.PadLeft(widths[column]))).TrimEnd());
        }
    }

    private static string[] Row(UncertaintyBudget budget, UncertaintyInput input) =>
    [
        input.Name,
        input.Estimate.ToString("G10", CultureInfo.InvariantCulture),
        input.Unit,
        Text(input.StandardUncertainty),
        input.StandardUncertainty == 0 ? "exact" : DistributionText.Word(input.Distribution),
        Degrees(input.DegreesOfFreedom),
        Text(input.Sensitivity),
        Text(input.Contribution),
        (input.Contribution * input.Contribution).ToString(Square, CultureInfo.InvariantCulture),
        Share(budget.ShareOf(input)),
    ];

    private static string[] Extra(string name, UncertaintyBudget budget, double variance) =>
    [
        name, "", "", "", "", "", "", "",
        variance.ToString(Square, CultureInfo.InvariantCulture),
        Share(budget.Combined == 0 ? 0 : variance / (budget.Combined * budget.Combined)),
    ];

    private static void WriteResult(TextWriter writer, BudgetDefinition definition, UncertaintyBudget budget)
    {
        ExpandedUncertainty expanded = definition.Expand(budget);
        string unit = definition.Unit.Length == 0 ? string.Empty : $" {definition.Unit}";
        Line(writer, "value", Invariant($"{definition.Model.Value:G10}{unit}"));
        Line(writer, "combined u", Invariant($"{budget.Combined:G6}{unit}"));
        Line(writer, "nu_eff", $"{Degrees(budget.EffectiveDegreesOfFreedom)}{(budget.EffectiveDegreesOfFreedom < ManyDegrees ? $", taken as {Degrees(expanded.DegreesOfFreedom)}" : string.Empty)}");
        if (budget.DegreesOfFreedomAreApproximate)
            Line(writer, "", "approximate: GUM G.4.1 holds for independent inputs");
        Line(writer, "k", Invariant($"{expanded.CoverageFactor:F3} for {expanded.Probability * 100:G6} %"));
        if (definition.Coverage == CoverageChoice.Ea402 && budget.DominantRectangular is { } dominant)
            Line(writer, "", $"one rectangular input dominates: {dominant.Name}");
        Line(writer, "expanded U", Invariant($"{expanded.Value:G6}{unit}"));
        writer.WriteLine();
        writer.WriteLine($"{definition.Quantity} = {(unit.Length == 0 ? Stated(definition.Model.Value, expanded.Value) : $"({Stated(definition.Model.Value, expanded.Value)}){unit}")}");
    }

    private static void WriteMonteCarlo(TextWriter writer, BudgetDefinition definition, UncertaintyBudget budget, MonteCarloResult found)
    {
        BudgetValidation validation = definition.Validate(budget, found);
        string unit = definition.Unit.Length == 0 ? string.Empty : $" {definition.Unit}";
        writer.WriteLine();
        writer.WriteLine(Invariant($"Monte Carlo (JCGM 101), {found.Trials} trials, {definition.CoverageProbability * 100:G6} %"));
        Line(writer, "value", Invariant($"{found.Mean:G8}{unit}"));
        Line(writer, "u", Invariant($"{found.StandardUncertainty:G6}{unit}"));
        Line(writer, "shortest", Invariant($"[{found.Shortest.Low:G8}, {found.Shortest.High:G8}]{unit}"));
        Line(writer, "symmetric", Invariant($"[{found.Symmetric.Low:G8}, {found.Symmetric.High:G8}]{unit}"));
        Line(writer, "budget", Invariant($"[{validation.Budget.Low:G8}, {validation.Budget.High:G8}]{unit}"));
        Line(writer, "difference", Invariant($"low {validation.LowDifference:G3}, high {validation.HighDifference:G3}, permitted {validation.Tolerance:G3}"));
        writer.WriteLine(Verdict(validation, found));
    }

    private static string Verdict(BudgetValidation validation, MonteCarloResult found)
    {
        if (validation.IsValidated)
            return "VALIDATED: the budget's interval agrees with Monte Carlo";
        return found.IsStable
            ? "NOT VALIDATED: the budget's interval differs from Monte Carlo; use the Monte Carlo interval"
            : Invariant($"NOT VALIDATED: after {found.Trials} trials the figures still move by more than asked for; ask for fewer digits, or look for an input that lets the formula run away");
    }

    private static string Degrees(double degrees) => double.IsInfinity(degrees) ? "inf"
        : degrees >= ManyDegrees ? Invariant($"> {ManyDegrees:0}")
        : Invariant($"{degrees:0.##}");

    private static string Share(double share) => Invariant($"{share * 100:F1}");

    // Adding 0 takes the sign off a negative one.
    private static string Text(double value) => (value + 0.0).ToString(Number, CultureInfo.InvariantCulture);

    private static void Line(TextWriter writer, string name, string text) => writer.WriteLine($"{name,-12}{text}");

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
