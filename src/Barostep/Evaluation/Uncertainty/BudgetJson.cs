using System.Text.Encodings.Web;
using System.Text.Json;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>A budget as one JSON document; infinite degrees of freedom are null.</summary>
public static class BudgetJson
{
    private static readonly JsonWriterOptions _options = new()
    {
        Indented = true,
        NewLine = "\n",
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    public static void Write(Stream stream, BudgetDefinition definition, UncertaintyBudget budget, MonteCarloResult? monteCarlo)
    {
        ArgumentNullException.ThrowIfNull(definition);
        ArgumentNullException.ThrowIfNull(budget);
        using Utf8JsonWriter json = new(stream, _options);
        json.WriteStartObject();
        json.WriteString("title", definition.Title);
        json.WriteString("quantity", definition.Quantity);
        json.WriteString("unit", definition.Unit);
        json.WriteString("formula", definition.Formula);
        json.WriteNumber("value", definition.Model.Value);
        WriteInputs(json, budget);
        WriteResult(json, definition, budget);
        json.WritePropertyName("monteCarlo");
        if (monteCarlo is null)
            json.WriteNullValue();
        else
            WriteMonteCarlo(json, definition, budget, monteCarlo);
        json.WriteEndObject();
    }

    private static void WriteInputs(Utf8JsonWriter json, UncertaintyBudget budget)
    {
        json.WriteStartArray("inputs");
        foreach (UncertaintyInput input in budget.Inputs)
        {
            json.WriteStartObject();
            json.WriteString("name", input.Name);
            json.WriteString("unit", input.Unit);
            json.WriteNumber("estimate", input.Estimate);
            json.WriteNumber("standardUncertainty", input.StandardUncertainty);
            json.WriteString("distribution", input.Distribution.ToString());
            Degrees(json, "degreesOfFreedom", input.DegreesOfFreedom);
            json.WriteNumber("sensitivity", input.Sensitivity);
            json.WriteNumber("contribution", input.Contribution);
            json.WriteNumber("shareOfVariance", budget.ShareOf(input));
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteStartArray("correlations");
        foreach (Correlation correlation in budget.Correlations)
        {
            json.WriteStartObject();
            json.WriteString("first", correlation.First);
            json.WriteString("second", correlation.Second);
            json.WriteNumber("coefficient", correlation.Coefficient);
            json.WriteNumber("variance", budget.VarianceOf(correlation));
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteNumber("secondOrderVariance", budget.HigherOrderVariance);
    }

    private static void WriteResult(Utf8JsonWriter json, BudgetDefinition definition, UncertaintyBudget budget)
    {
        ExpandedUncertainty expanded = definition.Expand(budget);
        json.WriteNumber("combinedStandardUncertainty", budget.Combined);
        Degrees(json, "effectiveDegreesOfFreedom", budget.EffectiveDegreesOfFreedom);
        json.WriteBoolean("degreesOfFreedomAreApproximate", budget.DegreesOfFreedomAreApproximate);
        json.WriteNumber("coverageProbability", expanded.Probability);
        json.WriteNumber("coverageFactor", expanded.CoverageFactor);
        json.WriteNumber("expandedUncertainty", expanded.Value);
        json.WriteString("stated", BudgetTable.Stated(definition.Model.Value, expanded.Value));
    }

    private static void WriteMonteCarlo(Utf8JsonWriter json, BudgetDefinition definition, UncertaintyBudget budget, MonteCarloResult found)
    {
        BudgetValidation validation = definition.Validate(budget, found);
        json.WriteStartObject();
        json.WriteNumber("trials", found.Trials);
        json.WriteBoolean("stable", found.IsStable);
        json.WriteNumber("coverageProbability", definition.CoverageProbability);
        json.WriteNumber("mean", found.Mean);
        json.WriteNumber("standardUncertainty", found.StandardUncertainty);
        Interval(json, "shortest", found.Shortest);
        Interval(json, "symmetric", found.Symmetric);
        Interval(json, "budget", validation.Budget);
        json.WriteNumber("lowDifference", validation.LowDifference);
        json.WriteNumber("highDifference", validation.HighDifference);
        json.WriteNumber("permittedDifference", validation.Tolerance);
        json.WriteBoolean("validated", validation.IsValidated);
        json.WriteEndObject();
    }

    private static void Interval(Utf8JsonWriter json, string name, CoverageInterval interval)
    {
        json.WriteStartArray(name);
        json.WriteNumberValue(interval.Low);
        json.WriteNumberValue(interval.High);
        json.WriteEndArray();
    }

    private static void Degrees(Utf8JsonWriter json, string name, double degrees)
    {
        if (double.IsFinite(degrees))
            json.WriteNumber(name, degrees);
        else
            json.WriteNull(name);
    }
}
