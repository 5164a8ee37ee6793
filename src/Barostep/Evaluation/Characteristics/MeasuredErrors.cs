using Barostep.Records;

namespace Barostep.Evaluation.Characteristics;

/// <summary>One error of a series, all as shares of span.</summary>
/// <param name="Cycle">From 1.</param>
/// <param name="NominalOfSpan">Nominal pressure; 0 at the lower range end.</param>
/// <param name="ErrorOfSpan">Error of indication.</param>
public sealed record SeriesError(int Cycle, SeriesDirection Direction, double NominalOfSpan, double ErrorOfSpan);

/// <summary>The mean errors at one nominal, as shares of span.</summary>
/// <param name="Up">Of all ascending readings; null where there is none.</param>
/// <param name="Down">Of all descending ones; null likewise.</param>
/// <param name="Mean">Of both directions, each counting once; of the one that there is otherwise.</param>
public sealed record MeanError(double NominalOfSpan, double? Up, double? Down, double Mean);

/// <summary>What a calibration in several cycles says of a device (IEC 61298-2, IEC 62828-2, ISA-51.1); shares of span.</summary>
/// <param name="LargestPositive">Inaccuracy to the upper side: the largest single error, 0 where none is above 0.</param>
/// <param name="LargestNegative">Inaccuracy to the lower side, 0 where none is below 0.</param>
/// <param name="Means">Average errors, by rising nominal.</param>
/// <param name="Hysteresis">Largest magnitude of descending minus ascending in one cycle; null without a pair.</param>
/// <param name="Repeatability">Largest spread among cycles at one nominal in one direction; null with one cycle.</param>
public sealed record MeasuredErrors(
    double LargestPositive,
    double LargestNegative,
    IReadOnlyList<MeanError> Means,
    double? Hysteresis,
    double? Repeatability)
{
    private const int NominalDigits = 9;

    /// <summary>Largest error in magnitude, E of 43 CFR 3175.135.</summary>
    public double Largest => Math.Max(LargestPositive, -LargestNegative);

    /// <summary>√(E² + H² + R²), error, hysteresis and repeatability in one figure (43 CFR 3175.135 b); what is unknown counts 0.</summary>
    public double Together => Math.Sqrt((Largest * Largest) + Square(Hysteresis) + Square(Repeatability));

    /// <exception cref="ArgumentException">There are no errors.</exception>
    public static MeasuredErrors Of(IReadOnlyList<SeriesError> errors)
    {
        if (errors.Count == 0)
            throw new ArgumentException("no errors were measured", nameof(errors));
        return new MeasuredErrors(
            Math.Max(0, errors.Max(error => error.ErrorOfSpan)),
            Math.Min(0, errors.Min(error => error.ErrorOfSpan)),
            [.. errors.GroupBy(Nominal).OrderBy(group => group.Key).Select(MeanOf)],
            LargestOf(errors.GroupBy(error => (error.Cycle, Nominal(error))).Select(HysteresisOf)),
            LargestOf(errors.GroupBy(error => (error.Direction, Nominal(error))).Select(SpreadOf)));
    }

    /// <summary>From a run that was evaluated; points without figures are left out.</summary>
    public static MeasuredErrors Of(RunResult result)
    {
        ArgumentNullException.ThrowIfNull(result);
        double from = result.Record.Device.FromPascals;
        double span = result.Record.Device.SpanPascals;
        return Of([.. result.Points
            .Where(point => point.Values is not null && point.Signal != LoopSignal.Fault)
            .Select(point => new SeriesError(point.Cycle, point.Direction, (point.NominalPascals - from) / span, point.Values!.ErrorOfSpan))]);
    }

    /// <summary>Departure of the mean characteristic from a straight line, as a share of span.</summary>
    public Linearity Linearity(LineKind kind) => Characteristics.Linearity.Of(
        kind,
        [.. Means.Select(mean => mean.NominalOfSpan)],
        [.. Means.Select(mean => mean.NominalOfSpan + mean.Mean)]);

    private static double Nominal(SeriesError error) => Math.Round(error.NominalOfSpan, NominalDigits);

    private static MeanError MeanOf(IGrouping<double, SeriesError> same)
    {
        double? up = MeanIn(same, SeriesDirection.Ascending);
        double? down = MeanIn(same, SeriesDirection.Descending);
        return new MeanError(same.Key, up, down, (up + down) / 2 ?? up ?? down ?? 0);
    }

    private static double? MeanIn(IEnumerable<SeriesError> errors, SeriesDirection direction)
    {
        double[] values = [.. errors.Where(error => error.Direction == direction).Select(error => error.ErrorOfSpan)];
        return values.Length == 0 ? null : Statistics.Mean(values);
    }

    private static double? HysteresisOf(IEnumerable<SeriesError> pair) =>
        MeanIn(pair, SeriesDirection.Descending) - MeanIn(pair, SeriesDirection.Ascending);

    private static double? SpreadOf(IEnumerable<SeriesError> same)
    {
        double[] values = [.. same.Select(error => error.ErrorOfSpan)];
        return values.Length < 2 ? null : values.Max() - values.Min();
    }

    private static double? LargestOf(IEnumerable<double?> values) => values.Max(value => value is { } known ? Math.Abs(known) : (double?)null);

    private static double Square(double? value) => value is { } known ? known * known : 0;
}
