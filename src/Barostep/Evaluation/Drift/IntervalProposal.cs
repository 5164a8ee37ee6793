using System.Globalization;

namespace Barostep.Evaluation.Drift;

/// <summary>How long a device may go until its next calibration, as its own history suggests.</summary>
/// <remarks>
/// Of the kinds of method that ILAC-G24:2022 / OIML D 10 clause 6 names (staircase, control chart, in-use time, in-service
/// checking, other statistics) this is the control chart over calendar time, 6.3. It is advice to a person, who knows what
/// the figures do not: how the device is used, and what a wrong reading costs.
/// </remarks>
/// <param name="Months">Whole months from the last calibration, rounded down; null where the history is too short.</param>
/// <param name="NextOn">The last calibration and these months; null likewise.</param>
/// <param name="Governing">The place that leaves the least time; null where the stated maximum governs, or likewise.</param>
/// <param name="Reason">One sentence: what governs, or why nothing can be said.</param>
public sealed record IntervalProposal(int? Months, DateOnly? NextOn, DriftForecast? Governing, string Reason)
{
    public const string Method = "control chart over calendar time (ILAC-G24:2022 / OIML D 10, 6.3)";

    private const double MonthsPerYear = 12;

    /// <param name="forecasts">One for each place of the device.</param>
    /// <param name="mostMonths">The longest interval that the workshop allows, whatever the figures say.</param>
    public static IntervalProposal Of(IReadOnlyList<DriftForecast> forecasts, int mostMonths)
    {
        ArgumentNullException.ThrowIfNull(forecasts);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(mostMonths);
        if (forecasts.Count == 0)
        {
            return new IntervalProposal(null, null, null, string.Create(CultureInfo.InvariantCulture,
                $"too few calibrations since the last adjustment: {DriftForecast.FewestCalibrations} on different days show a drift and its uncertainty"));
        }

        DateOnly last = forecasts.Max(forecast => forecast.Last.On);
        DriftForecast first = forecasts.MinBy(forecast => forecast.EarliestAfterYears ?? double.PositiveInfinity)!;
        double months = (first.EarliestAfterYears ?? double.PositiveInfinity) * MonthsPerYear;
        if (months >= mostMonths)
        {
            return new IntervalProposal(mostMonths, last.AddMonths(mostMonths), null,
                "no place is expected to reach its tolerance within the longest interval allowed, so that governs");
        }

        int whole = (int)months;
        string place = string.Create(CultureInfo.InvariantCulture, $"{first.Series.NominalOfSpan * 100:0.###} % of span, {Word(first)}");
        return new IntervalProposal(whole, last.AddMonths(whole), first, whole == 0
            ? $"|error| + U is at the tolerance, or may be within a month, at {place}: adjust or repair it"
            : $"|error| + U may reach the tolerance first at {place}");
    }

    private static string Word(DriftForecast forecast) => forecast.Series.Direction.ToString().ToLowerInvariant();
}
