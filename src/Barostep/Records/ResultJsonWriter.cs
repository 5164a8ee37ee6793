using System.Text.Json;
using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Evaluation.Corrections;
using Barostep.Evaluation.Switching;
using Barostep.Safety;

namespace Barostep.Records;

/// <summary>Writes a result as JSON; what is not known is null, never left out.</summary>
internal static class ResultJsonWriter
{
    public static void Result(Utf8JsonWriter json, RunResult result)
    {
        PressureUnit unit = result.Record.Device.Unit;
        json.WriteStartObject();
        json.WriteString("verdict", JsonWords.Of(result.Conformity));
        RecordJsonWriter.Array(json, "reasons", result.Reasons, (to, reason) => to.WriteStringValue(reason));
        json.WriteString("unit", unit.Symbol);
        json.WriteString("unitUcum", unit.Ucum);
        json.WriteString("reference", JsonWords.Of(result.Record.Device.Reference));
        json.WriteNumber("spanPascals", result.Record.Device.SpanPascals);
        json.WriteNumber("limitPascals", result.LimitPascals);
        json.WriteNumber("limitOfSpan", result.Record.Device.ToleranceOfSpan);
        RecordJsonWriter.Number(json, "largestErrorOfSpan", result.LargestError?.Values?.ErrorOfSpan);
        RecordJsonWriter.Number(json, "largestErrorAtPoint", result.LargestError?.Index);
        RecordJsonWriter.Number(json, "largestHysteresisOfSpan", result.LargestHysteresisOfSpan);
        RecordJsonWriter.Number(json, "repeatabilityAscendingOfSpan", result.Repeatability.AscendingOfSpan);
        RecordJsonWriter.Number(json, "repeatabilityDescendingOfSpan", result.Repeatability.DescendingOfSpan);
        RecordJsonWriter.Number(json, "zeroBeforeOfSpan", result.Zero.BeforeOfSpan);
        RecordJsonWriter.Number(json, "zeroAfterOfSpan", result.Zero.AfterOfSpan);
        RecordJsonWriter.Number(json, "zeroShiftOfSpan", result.Zero.ShiftOfSpan);
        RecordJsonWriter.Number(json, "fittedZeroErrorOfSpan", result.Line?.ZeroErrorOfSpan);
        RecordJsonWriter.Number(json, "fittedZeroUncertaintyOfSpan", result.Line?.ZeroUncertaintyOfSpan);
        RecordJsonWriter.Number(json, "fittedSpanErrorOfSpan", result.Line?.SpanErrorOfSpan);
        RecordJsonWriter.Number(json, "fittedSpanUncertaintyOfSpan", result.Line?.SpanUncertaintyOfSpan);
        RecordJsonWriter.Number(json, "fittedCovariance", result.Line?.Covariance);
        RecordJsonWriter.Number(json, "fittedResidualDeviationOfSpan", result.Line?.ResidualDeviationOfSpan);
        Switching(json, result.Switching);
        json.WriteStartObject("rule");
        DecisionJson.Write(json, result.Agreement);
        json.WriteEndObject();
        RecordJsonWriter.Array(json, "corrections", result.Corrections.Applied, Correction);
        Advice(json, result.Advice);
        RecordJsonWriter.Array(json, "points", result.Points, (to, point) => Point(to, point, unit));
        json.WriteEndObject();
    }

    /// <summary>Only pressure switches have it.</summary>
    private static void Switching(Utf8JsonWriter json, SwitchResult? switching)
    {
        if (switching is null)
            return;
        json.WriteStartObject("switching");
        RecordJsonWriter.Number(json, "tripPascals", switching.Trip);
        RecordJsonWriter.Number(json, "resetPascals", switching.Reset);
        RecordJsonWriter.Number(json, "deadbandPascals", switching.Deadband);
        RecordJsonWriter.Number(json, "largestDeadbandPascals", switching.LargestDeadband);
        RecordJsonWriter.Number(json, "tripRepeatabilityPascals", switching.TripRepeatability);
        RecordJsonWriter.Number(json, "resetRepeatabilityPascals", switching.ResetRepeatability);
        json.WriteEndObject();
    }

    private static void Correction(Utf8JsonWriter json, AppliedCorrection correction)
    {
        json.WriteStartObject();
        json.WriteString("name", correction.Name);
        json.WriteString("text", correction.Text);
        json.WriteEndObject();
    }

    private static void Advice(Utf8JsonWriter json, AdjustmentAdvice? advice)
    {
        if (advice is null)
        {
            json.WriteNull("advice");
            return;
        }

        json.WriteStartObject("advice");
        json.WriteNumber("largestErrorNowOfSpan", advice.LargestErrorNow);
        Trim(json, "zeroOnly", advice.ZeroOnly);
        if (advice.ZeroAndSpan is { } both)
            Trim(json, "zeroAndSpan", both);
        else
            json.WriteNull("zeroAndSpan");
        json.WriteEndObject();
    }

    private static void Trim(Utf8JsonWriter json, string name, Trim trim)
    {
        json.WriteStartObject(name);
        json.WriteNumber("zeroOfSpan", trim.Zero);
        json.WriteNumber("spanOfSpan", trim.Span);
        json.WriteNumber("largestErrorAfterOfSpan", trim.LargestErrorAfter);
        json.WriteEndObject();
    }

    private static void Point(Utf8JsonWriter json, PointResult point, PressureUnit unit)
    {
        PointValues? values = point.Values;
        json.WriteStartObject();
        json.WriteNumber("index", point.Index);
        json.WriteNumber("cycle", point.Cycle);
        json.WriteString("direction", JsonWords.Of(point.Direction));
        json.WriteNumber("nominalPascals", point.NominalPascals);
        json.WriteNumber("count", values?.Count ?? 0);
        RecordJsonWriter.Number(json, "referencePascals", values?.ReferencePascals);
        RecordJsonWriter.Number(json, "indicationPascals", values?.IndicationPascals);
        RecordJsonWriter.Number(json, "output", values?.Output);
        RecordJsonWriter.Number(json, "errorPascals", values?.ErrorPascals);
        RecordJsonWriter.Number(json, "errorOfSpan", values?.ErrorOfSpan);
        RecordJsonWriter.Number(json, "referenceDeviationPascals", values?.ReferenceDeviationPascals);
        RecordJsonWriter.Number(json, "indicationDeviationPascals", values?.IndicationDeviationPascals);
        RecordJsonWriter.Number(json, "errorDeviationPascals", values?.ErrorDeviationPascals);
        json.WriteNumber("nominal", point.NominalPascals / unit.PascalsAsDouble);
        RecordJsonWriter.Number(json, "referenceValue", values?.ReferencePascals / unit.PascalsAsDouble);
        RecordJsonWriter.Number(json, "indication", values?.IndicationPascals / unit.PascalsAsDouble);
        RecordJsonWriter.Number(json, "error", values?.ErrorPascals / unit.PascalsAsDouble);
        RecordJsonWriter.Number(json, "hysteresisOfSpan", point.HysteresisOfSpan);
        json.WriteNumber("limitOfSpan", point.LimitOfSpan);
        PointDecisionJson.Write(json, point);
        json.WriteString("signal", JsonWords.Of(point.Signal));
        json.WriteString("verdict", JsonWords.Of(point.Conformity));
        RecordJsonWriter.Array(json, "marks", JsonWords.OfEach(point.Marks), (to, mark) => to.WriteStringValue(mark));
        json.WriteEndObject();
    }
}
