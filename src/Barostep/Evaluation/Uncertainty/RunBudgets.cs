using Barostep.Configuration;
using Barostep.Evaluation.Corrections;
using Barostep.Records;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>The uncertainty budget of each point of a run, from what its record holds of standards, zeros, cycles and scatter.</summary>
/// <remarks>Contributions and their distributions are those of <see cref="PressurePoint"/>.</remarks>
public static class RunBudgets
{
    /// <summary>Coverage probability of what is stated.</summary>
    public const double Probability = 0.95;

    /// <summary>By how much weather moves the atmosphere in some days, Pa (trade practice).</summary>
    private const double WeatherHalfWidth = 3_000;

    /// <summary>The temperature at which a device is to keep its error: 20 °C (EN 837-1, from memory).</summary>
    private const double ReferenceCelsius = 20;

    /// <summary>How far from it a workshop may be whose temperature nobody told, K (trade practice).</summary>
    private const double UntoldKelvin = 5;

    /// <summary>A limit of half-width a, rectangular, has the standard uncertainty a/√3 (GUM 4.3.7).</summary>
    private static readonly double Rectangular = Math.Sqrt(3);

    /// <summary>One budget a point, in the order of the result's points; null where the record names no pressure standard or a point has no figures.</summary>
    public static IReadOnlyList<UncertaintyBudget>? Of(RunResult result)
    {
        UncertaintyBudget?[] budgets = [.. result.Points.Select(point => At(result, point))];
        return budgets.Length == 0 || budgets.Contains(null) ? null : [.. budgets.OfType<UncertaintyBudget>()];
    }

    /// <summary>The budget of one point of a run, in Pa; null where the record names no pressure standard or the point has no figures.</summary>
    public static UncertaintyBudget? At(RunResult result, PointResult point) =>
        PointOf(result, point) is { } known ? known.Model().Budget() : null;

    /// <summary>What is known of one point, from which its budget is made; null likewise.</summary>
    public static PressurePoint? PointOf(RunResult result, PointResult point)
    {
        RunRecord record = result.Record;
        ReferenceStandard? reference = RunCorrections.StandardOf(record, StandardQuantity.Pressure);
        if (reference is null || point.Values is not { } values)
            return null;
        double span = record.Device.SpanPascals;
        double? repeatability = point.Direction == SeriesDirection.Ascending
            ? result.Repeatability.AscendingOfSpan
            : result.Repeatability.DescendingOfSpan;
        double told = result.Corrections.Indication(values.ReferencePascals);
        return new PressurePoint
        {
            Indication = values.IndicationPascals,
            Reference = values.ReferencePascals,
            ReferenceExpanded = reference.CalibrationUncertainty(told) * reference.CoverageFactor,
            ReferenceCoverageFactor = reference.CoverageFactor,
            ReferenceDrift = reference.DriftUncertainty(DayOf(record)) * Rectangular,
            ReferenceResolution = record.Arrangement.ReferenceResolutionPascals,
            Head = result.Corrections.HeadUncertainty(values.ReferencePascals),
            Atmosphere = Atmosphere(result),
            Temperature = record.Device.TemperatureOfSpanPerKelvin * span * FromReferenceTemperature(record),
            Multimeter = Multimeter(record, values),
            Shunt = Shunt(record, values),
            DeviceResolution = record.Device.ResolutionPascals,
            ZeroDeviation = Math.Abs(result.Zero.ShiftOfSpan ?? 0) * span,
            Repeatability = (repeatability ?? 0) * span,
            Hysteresis = Math.Abs(point.HysteresisOfSpan ?? 0) * span,
            Settling = SettlingOf(record, point),
            Stability = values.ErrorDeviationPascals ?? 0,
            Samples = values.Count,
            ContactInterval = point.Change?.IntervalHalfWidth ?? 0,
            ReferenceLag = point.Change?.LagHalfWidth ?? 0,
        };
    }

    /// <summary>What the point's own decision says was left over the reading, with its uncertainty; 0 for the plain criterion, which says nothing of it.</summary>
    private static double SettlingOf(RunRecord record, PointResult point) =>
        record.Points.FirstOrDefault(read => read.Index == point.Index)?.Settling is { OverReading: { } over } decision ? over.Bound(decision.CoverageFactor) : 0;

    /// <summary>How far the room was from the reference temperature at most, K.</summary>
    private static double FromReferenceTemperature(RunRecord record) =>
        record.Environment.Select(reading => reading.TemperatureCelsius).OfType<double>()
            .Select(celsius => (double?)Math.Abs(celsius - ReferenceCelsius)).Max() ?? UntoldKelvin;

    /// <summary>Standard uncertainty of the atmosphere, where gauge and absolute are compared; unread, it may be anywhere in the weather.</summary>
    private static double Atmosphere(RunResult result) =>
        !result.Corrections.UsesAtmosphere ? 0
        : result.Corrections.BarometerWasRead && result.Record.Arrangement.Barometer is { } barometer ? barometer.StandardUncertaintyPascals
        : WeatherHalfWidth / Rectangular;

    /// <summary>Half-width for the electrical standard, brought to Pa by the device's sensitivity; 0 where the device tells pressure itself.</summary>
    private static double Multimeter(RunRecord record, PointValues values)
    {
        if (values.Output is not { } output || RunCorrections.StandardOf(record, RunCorrections.MeterReads(record)) is not { } meter)
            return 0;
        double perOutput = record.Device.Output == DeviceOutput.Current && record.Arrangement.Shunt is { } shunt ? shunt.OhmsAt20 : 1;
        double calibration = meter.CalibrationUncertainty(output * perOutput);
        double drift = meter.DriftUncertainty(DayOf(record));
        return Math.Sqrt((calibration * calibration) + (drift * drift)) / perOutput * PascalsPerUnit(record, output) * Rectangular;
    }

    /// <summary>Standard uncertainty for the shunt, brought to Pa likewise.</summary>
    private static double Shunt(RunRecord record, PointValues values) =>
        values.Output is { } output && record.Device.Output == DeviceOutput.Current && record.Arrangement.Shunt is { } shunt
            ? Math.Abs(output) * shunt.StandardUncertaintyOhms / shunt.OhmsAt20 * PascalsPerUnit(record, output)
            : 0;

    private static double PascalsPerUnit(RunRecord record, double output) => Math.Abs(Transfer.PascalsPerUnit(record.Device, output));

    private static DateOnly DayOf(RunRecord record) => DateOnly.FromDateTime(record.StartedUtc.UtcDateTime);
}
