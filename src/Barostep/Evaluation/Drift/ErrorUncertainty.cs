using Barostep.Configuration;
using Barostep.Records;

namespace Barostep.Evaluation.Drift;

/// <summary>The part of an error's uncertainty that the record itself tells: the standards' certificates, their drift, the scatter.</summary>
/// <remarks>u² = u_cal² + u_drift² + s²/n for the means of the run; U = 2·u (GUM 5.1.2 and 6.2.1 with k = 2).</remarks>
internal static class ErrorUncertainty
{
    private const double CoverageFactor = 2;

    /// <summary>Keeps weights finite where a record tells nothing: far below what any reading resolves.</summary>
    private const double LeastOfSpan = 1e-9;

    public static double ExpandedOfSpan(RunRecord run, IReadOnlyList<PointResult> cycles)
    {
        PointValues values = cycles[0].Values!;
        double variance = ScatterVariance(cycles);
        foreach (StandardUse use in run.Standards)
            variance += Math.Pow(StandardPascals(run, use.Standard, values), 2);
        return CoverageFactor * Math.Max(LeastOfSpan, Math.Sqrt(variance) / run.Device.SpanPascals);
    }

    private static double ScatterVariance(IReadOnlyList<PointResult> cycles)
    {
        double sum = 0;
        int count = 0;
        foreach (PointValues values in cycles.Select(point => point.Values!))
        {
            double deviation = values.ErrorDeviationPascals ?? 0;
            sum += deviation * deviation * values.Count;
            count += values.Count;
        }

        return sum / count / count;
    }

    private static double StandardPascals(RunRecord run, ReferenceStandard standard, PointValues values)
    {
        bool measuresPressure = standard.Quantity == StandardQuantity.Pressure;
        double indication = measuresPressure ? values.ReferencePascals : values.Output ?? 0;
        double calibration = standard.CalibrationUncertainty(indication);
        double drift = standard.DriftUncertainty(DateOnly.FromDateTime(run.StartedUtc.UtcDateTime));
        double perUnit = measuresPressure ? 1 : run.Device.SpanPascals / Math.Abs(run.Device.OutputTo - run.Device.OutputFrom);
        return Math.Sqrt((calibration * calibration) + (drift * drift)) * perUnit;
    }
}
