using System.Text.Json;
using Barostep.Evaluation;
using Barostep.Evaluation.Decisions;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Records;

/// <summary>Uncertainty, budget and decision of a point as JSON; null where no standard is known.</summary>
internal static class PointDecisionJson
{
    public static void Write(Utf8JsonWriter json, PointResult point)
    {
        if (point is { Budget: { } budget, Uncertainty: { } expanded })
            Uncertainty(json, budget, expanded);
        else
            json.WriteNull("uncertainty");
        if (point.Decision is { } decision)
            Decision(json, decision);
        else
            json.WriteNull("decision");
    }

    private static void Uncertainty(Utf8JsonWriter json, UncertaintyBudget budget, ExpandedUncertainty expanded)
    {
        json.WriteStartObject("uncertainty");
        json.WriteNumber("expandedPascals", expanded.Value);
        json.WriteNumber("coverageFactor", expanded.CoverageFactor);
        json.WriteNumber("probability", expanded.Probability);
        Finite(json, "degreesOfFreedom", expanded.DegreesOfFreedom);
        json.WriteNumber("combinedPascals", budget.Combined);
        RecordJsonWriter.Array(json, "inputs", budget.Inputs, Input);
        json.WriteEndObject();
    }

    private static void Decision(Utf8JsonWriter json, ToleranceDecision decision)
    {
        json.WriteStartObject("decision");
        json.WriteString("zone", JsonWords.Of(decision.Zone));
        Finite(json, "guardBandPascals", decision.GuardBand);
        RecordJsonWriter.Number(json, "acceptanceLimitPascals", decision.Acceptance.IsEmpty ? null : decision.Acceptance.Upper);
        json.WriteNumber("conformanceProbability", decision.ConformanceProbability);
        json.WriteNumber("probabilityOfBeingWrong", decision.RiskOfBeingWrong);
        json.WriteEndObject();
    }

    private static void Input(Utf8JsonWriter json, UncertaintyInput input)
    {
        json.WriteStartObject();
        json.WriteString("name", input.Name);
        json.WriteNumber("estimatePascals", input.Estimate);
        json.WriteNumber("standardUncertaintyPascals", input.StandardUncertainty);
        json.WriteString("distribution", JsonWords.Of(input.Distribution));
        Finite(json, "degreesOfFreedom", input.DegreesOfFreedom);
        json.WriteNumber("sensitivity", input.Sensitivity);
        json.WriteNumber("contributionPascals", input.Contribution);
        json.WriteEndObject();
    }

    private static void Finite(Utf8JsonWriter json, string name, double value) =>
        RecordJsonWriter.Number(json, name, double.IsFinite(value) ? value : null);
}
