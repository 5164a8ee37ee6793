namespace Barostep.Evaluation.Drift;

/// <summary>Control chart of individual values and their moving ranges.</summary>
/// <remarks>
/// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: centre x̄, limits x̄ ± 3·R̄/1.128 with R̄ the mean of the ranges of
/// two values in a row (d₂ = 1.128 for n = 2). Upper limit of the ranges 3.267·R̄ (D₄ for n = 2), lower 0.
/// </remarks>
/// <param name="Outside">Positions of the values beyond a limit, from 0.</param>
/// <param name="RangesOutside">Positions of the later value of each range beyond its limit, from 0.</param>
public sealed record ControlChart(
    double Centre,
    double Lower,
    double Upper,
    double MeanRange,
    double UpperRange,
    IReadOnlyList<int> Outside,
    IReadOnlyList<int> RangesOutside)
{
    private const double ExpectedRange = 1.128;
    private const double LargestRange = 3.267;

    /// <summary>Fewest values of which a chart says anything: two ranges.</summary>
    public const int FewestValues = 3;

    /// <summary>From this many on the limits are settled; before, they are rough (trade practice).</summary>
    public const int SettledFrom = 20;

    public bool InControl => Outside.Count == 0 && RangesOutside.Count == 0;

    /// <summary>The chart; null for fewer than three values.</summary>
    public static ControlChart? Of(IReadOnlyList<double> values)
    {
        ArgumentNullException.ThrowIfNull(values);
        if (values.Count < FewestValues)
            return null;
        double[] ranges = [.. values.Zip(values.Skip(1), (before, after) => Math.Abs(after - before))];
        double centre = Statistics.Mean([.. values]);
        double meanRange = Statistics.Mean(ranges);
        double reach = 3 * meanRange / ExpectedRange;
        double upperRange = LargestRange * meanRange;
        return new ControlChart(
            centre,
            centre - reach,
            centre + reach,
            meanRange,
            upperRange,
            [.. Enumerable.Range(0, values.Count).Where(at => Math.Abs(values[at] - centre) > reach)],
            [.. Enumerable.Range(0, ranges.Length).Where(at => ranges[at] > upperRange).Select(at => at + 1)]);
    }
}
