using Barostep.Configuration;
using Barostep.Records;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>The uncertainty budget of each point of a run, from what its record holds of standards, zeros, cycles and scatter.</summary>
/// <remarks>Contributions and their distributions are those of <see cref="PressurePoint"/>.</remarks>
public static class RunBudgets
{
    /// <summary>Coverage probability of what is stated.</summary>
    public const double Probability = 0.95;

    /// <summary>A limit of half-width a, rectangular, has the standard uncertainty a/√3 (GUM 4.3.7).</summary>
    private static readonly double Rectangular = Math.Sqrt(3);

    /// <summary>One budget a point, in the order of the result's points; null where the record names no pressure standard or a point has no figures.</summary>
    public static IReadOnlyList<UncertaintyBudget>? Of(RunResult result)
    {
        ReferenceStandard? reference = Standard(result.Record, StandardQuantity.Pressure);
        if (reference is null || result.Points.Any(point => point.Values is null))
            return null;
        return [.. result.Points.Select(point => Point(result, reference, point).Model().Budget())];
    }

    private static PressurePoint Point(RunResult result, ReferenceStandard reference, PointResult point)
    {
        RunRecord record = result.Record;
        PointValues values = point.Values!;
        double span = record.Device.SpanPascals;
        double? repeatability = point.Direction == SeriesDirection.Ascending
            ? result.Repeatability.AscendingOfSpan
            : result.Repeatability.DescendingOfSpan;
        return new PressurePoint
        {
            Indication = values.IndicationPascals,
            Reference = values.ReferencePascals,
            ReferenceExpanded = reference.CalibrationUncertainty(values.ReferencePascals) * reference.CoverageFactor,
            ReferenceCoverageFactor = reference.CoverageFactor,
            ReferenceDrift = reference.DriftUncertainty(DayOf(record)) * Rectangular,
            Multimeter = Multimeter(record, values),
            ZeroDeviation = Math.Abs(result.Zero.ShiftOfSpan ?? 0) * span,
            Repeatability = (repeatability ?? 0) * span,
            Hysteresis = Math.Abs(point.HysteresisOfSpan ?? 0) * span,
            Stability = values.ErrorDeviationPascals ?? 0,
            Samples = values.Count,
        };
    }

    /// <summary>Half-width for the electrical standard, brought to Pa by the device's sensitivity; 0 where the device tells pressure itself.</summary>
    private static double Multimeter(RunRecord record, PointValues values)
    {
        StandardQuantity quantity = record.Device.Output == DeviceOutput.Voltage ? StandardQuantity.Voltage : StandardQuantity.Current;
        if (values.Output is not { } output || Standard(record, quantity) is not { } meter)
            return 0;
        double calibration = meter.CalibrationUncertainty(output);
        double drift = meter.DriftUncertainty(DayOf(record));
        double pascalsPerUnit = record.Device.SpanPascals / Math.Abs(record.Device.OutputTo - record.Device.OutputFrom);
        return Math.Sqrt((calibration * calibration) + (drift * drift)) * pascalsPerUnit * Rectangular;
    }

    private static ReferenceStandard? Standard(RunRecord record, StandardQuantity quantity) =>
        record.Standards.FirstOrDefault(use => use.Standard.Quantity == quantity)?.Standard;

    private static DateOnly DayOf(RunRecord record) => DateOnly.FromDateTime(record.StartedUtc.UtcDateTime);
}
