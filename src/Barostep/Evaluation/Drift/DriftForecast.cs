namespace Barostep.Evaluation.Drift;

/// <summary>How one place of a device drifts, and when |error| + U will reach the tolerance if it goes on so.</summary>
/// <remarks>
/// Assumed: the drift is a straight line in calendar time; the uncertainties of different calibrations are independent;
/// the next calibration will have the U of the last one; use and storage stay as they were. Dates count from the last
/// calibration, years have 365.25 days. Uncertainties of drift and dates are with k = 2.
/// </remarks>
public sealed record DriftForecast
{
    /// <summary>Fewest calibrations that show a drift and its uncertainty: a line through two has no scatter.</summary>
    public const int FewestCalibrations = 3;

    /// <summary>Beyond this a forecast says nothing.</summary>
    private const double HorizonYears = 50;

    private const double CoverageFactor = 2;
    private const double DaysPerYear = 365.25;

    private DriftForecast(ErrorSeries series, WeightedLine line, double toleranceOfSpan)
    {
        Series = series;
        Line = line;
        ToleranceOfSpan = toleranceOfSpan;
        Chart = ControlChart.Of([.. series.Errors.Select(error => error.ErrorOfSpan)])!;
    }

    public ErrorSeries Series { get; }

    /// <summary>Error in shares of span over years, with 0 at the last calibration.</summary>
    public WeightedLine Line { get; }

    public ControlChart Chart { get; }

    public double ToleranceOfSpan { get; }

    /// <summary>The drift, share of span per year.</summary>
    public double PerYear => Line.Slope;

    /// <summary>U of it, k = 2.</summary>
    public double PerYearExpandedUncertainty => CoverageFactor * Line.SlopeUncertainty;

    /// <summary>Whether the drift is more than its uncertainty.</summary>
    public bool IsSignificant => Math.Abs(PerYear) > PerYearExpandedUncertainty;

    /// <summary>What is left for the error: tolerance less U of the last calibration.</summary>
    public double RoomOfSpan => ToleranceOfSpan - Last.ExpandedUncertaintyOfSpan;

    public DatedError Last => Series.Errors[^1];

    /// <summary>When the line reaches the room, years after the last calibration; null where it never does within 50 years.</summary>
    public double? ReachedAfterYears => FirstBeyond(Line.At, RoomOfSpan);

    /// <summary>U of that, k = 2: that of the line there, over the slope; null with it.</summary>
    public double? ReachedExpandedUncertaintyYears => ReachedAfterYears is { } years && PerYear != 0
        ? CoverageFactor * Line.UncertaintyAt(years) / Math.Abs(PerYear)
        : null;

    /// <summary>The earliest that it can be expected: where the line and its own expanded uncertainty together fill the room.</summary>
    public double? EarliestAfterYears
    {
        get
        {
            if (Math.Abs(Last.ErrorOfSpan) >= RoomOfSpan)
                return 0;
            double Reach(double years) => Math.Abs(Line.At(years)) + (CoverageFactor * Line.UncertaintyAt(years));
            return FirstBeyond(Reach, RoomOfSpan);
        }
    }

    public DateOnly? ReachedOn => OnOf(ReachedAfterYears);

    public DateOnly? EarliestOn => OnOf(EarliestAfterYears);

    /// <summary>The forecast; null with too few calibrations, or with all of them on one day.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The tolerance is not above 0.</exception>
    public static DriftForecast? Of(ErrorSeries series, double toleranceOfSpan)
    {
        ArgumentNullException.ThrowIfNull(series);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(toleranceOfSpan);
        if (series.Errors.Count < FewestCalibrations)
            return null;
        int last = series.Errors[^1].On.DayNumber;
        WeightedLine? line = WeightedLine.Fit(
            [.. series.Errors.Select(error => (error.On.DayNumber - last) / DaysPerYear)],
            [.. series.Errors.Select(error => error.ErrorOfSpan)],
            [.. series.Errors.Select(error => error.ExpandedUncertaintyOfSpan / CoverageFactor)]);
        return line is null ? null : new DriftForecast(series, line, toleranceOfSpan);
    }

    // Both curves bend upwards, so below the room at 0 they pass it once at most.
    private static double? FirstBeyond(Func<double, double> errorAt, double room)
    {
        if (Math.Abs(errorAt(0)) >= room)
            return 0;
        if (Math.Abs(errorAt(HorizonYears)) < room)
            return null;
        double low = 0;
        double high = HorizonYears;
        for (double middle = (low + high) / 2; middle > low && middle < high; middle = (low + high) / 2)
        {
            if (Math.Abs(errorAt(middle)) < room)
                low = middle;
            else
                high = middle;
        }

        return high;
    }

    private DateOnly? OnOf(double? years) => years is { } after ? Last.On.AddDays((int)(after * DaysPerYear)) : null;
}
