using System.Text.Json;
using Barostep.Evaluation;
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
        Number(json, "largestErrorOfSpan", result.LargestError?.Values?.ErrorOfSpan);
        Number(json, "largestErrorAtPoint", result.LargestError?.Index);
        Number(json, "largestHysteresisOfSpan", result.LargestHysteresisOfSpan);
        Number(json, "repeatabilityAscendingOfSpan", result.Repeatability.AscendingOfSpan);
        Number(json, "repeatabilityDescendingOfSpan", result.Repeatability.DescendingOfSpan);
        Number(json, "zeroBeforeOfSpan", result.Zero.BeforeOfSpan);
        Number(json, "zeroAfterOfSpan", result.Zero.AfterOfSpan);
        Number(json, "zeroShiftOfSpan", result.Zero.ShiftOfSpan);
        Number(json, "fittedZeroErrorOfSpan", result.Line?.ZeroErrorOfSpan);
        Number(json, "fittedZeroUncertaintyOfSpan", result.Line?.ZeroUncertaintyOfSpan);
        Number(json, "fittedSpanErrorOfSpan", result.Line?.SpanErrorOfSpan);
        Number(json, "fittedSpanUncertaintyOfSpan", result.Line?.SpanUncertaintyOfSpan);
        Number(json, "fittedCovariance", result.Line?.Covariance);
        Number(json, "fittedResidualDeviationOfSpan", result.Line?.ResidualDeviationOfSpan);
        RecordJsonWriter.Array(json, "points", result.Points, (to, point) => Point(to, point, unit));
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
        Number(json, "referencePascals", values?.ReferencePascals);
        Number(json, "indicationPascals", values?.IndicationPascals);
        Number(json, "output", values?.Output);
        Number(json, "errorPascals", values?.ErrorPascals);
        Number(json, "errorOfSpan", values?.ErrorOfSpan);
        Number(json, "referenceDeviationPascals", values?.ReferenceDeviationPascals);
        Number(json, "indicationDeviationPascals", values?.IndicationDeviationPascals);
        Number(json, "errorDeviationPascals", values?.ErrorDeviationPascals);
        json.WriteNumber("nominal", point.NominalPascals / unit.PascalsAsDouble);
        Number(json, "referenceValue", values?.ReferencePascals / unit.PascalsAsDouble);
        Number(json, "indication", values?.IndicationPascals / unit.PascalsAsDouble);
        Number(json, "error", values?.ErrorPascals / unit.PascalsAsDouble);
        Number(json, "hysteresisOfSpan", point.HysteresisOfSpan);
        json.WriteString("signal", JsonWords.Of(point.Signal));
        json.WriteString("verdict", JsonWords.Of(point.Conformity));
        RecordJsonWriter.Array(json, "marks", JsonWords.OfEach(point.Marks), (to, mark) => to.WriteStringValue(mark));
        json.WriteEndObject();
    }

    private static void Number(Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } number)
            json.WriteNumber(name, number);
        else
            json.WriteNull(name);
    }
}
