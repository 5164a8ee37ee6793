using Barostep.Evaluation.Uncertainty;

namespace Barostep.Evaluation.Characteristics;

/// <summary>The figures of one point after DKD-R 6-1, in the unit of the readings.</summary>
/// <param name="Mean">Mean reading over all series.</param>
/// <param name="Repeatability">b′, in one mounting; null where no series was repeated.</param>
/// <param name="Reproducibility">b, after mounting anew; null where that was not done.</param>
/// <param name="Hysteresis">h, mean of |down − up| over the pairs of series.</param>
public sealed record DkdPoint(double Mean, double? Repeatability, double? Reproducibility, double Hysteresis);

/// <summary>
/// The evaluation of DKD-R 6-1 (edition 03/2014) from its series M1 up, M2 down, M3 up, M4 down, and M5 up, M6 down in a
/// second mounting. Sequence C has two series, B three, A six; four are A without the second mounting.
/// </summary>
public sealed class DkdSeries
{
    private readonly IReadOnlyList<IReadOnlyList<double>> _series;

    /// <param name="series">Each with the same points by rising pressure; the first is the zero.</param>
    /// <exception cref="ArgumentException">Another number of series, or they differ in length.</exception>
    public DkdSeries(IReadOnlyList<IReadOnlyList<double>> series)
    {
        if (series.Count is not (2 or 3 or 4 or 6))
            throw new ArgumentException($"{series.Count} series; write 2 (sequence C), 3 (B), 4 or 6 (A)", nameof(series));
        if (series[0].Count < 2 || series.Any(one => one.Count != series[0].Count))
            throw new ArgumentException("every series has the same points, the zero and at least one more", nameof(series));
        _series = series;
        ZeroDeviation = Pairs.Max(pair => Math.Abs(_series[pair.Down][0] - _series[pair.Up][0]));
        Points = [.. Enumerable.Range(0, series[0].Count).Select(PointAt)];
    }

    /// <summary>f₀ = max |x₂,₀ − x₁,₀|, |x₄,₀ − x₃,₀|, |x₆,₀ − x₅,₀|.</summary>
    public double ZeroDeviation { get; }

    public IReadOnlyList<DkdPoint> Points { get; }

    private IEnumerable<(int Up, int Down)> Pairs => new[] { (Up: 0, Down: 1), (Up: 2, Down: 3), (Up: 4, Down: 5) }.Where(pair => pair.Down < _series.Count);

    /// <summary>
    /// The budget of one point: the reference, then resolution r, f₀, b′, b and h, each rectangular with half its value as
    /// half-width, so that u = value/(2·√3). Sensitivities are 1.
    /// </summary>
    /// <param name="referenceUncertainty">Standard uncertainty of the reference, with all its own contributions.</param>
    /// <param name="resolution">r, of the indication.</param>
    public UncertaintyBudget BudgetAt(int point, double referenceUncertainty, double resolution)
    {
        DkdPoint at = Points[point];
        List<UncertaintyInput> inputs = [new("reference", 0, referenceUncertainty, 1, double.PositiveInfinity, Distribution.Normal)];
        inputs.Add(Span("resolution", resolution));
        inputs.Add(Span("zero deviation f0", ZeroDeviation));
        if (at.Repeatability is { } repeatability)
            inputs.Add(Span("repeatability b'", repeatability));
        if (at.Reproducibility is { } reproducibility)
            inputs.Add(Span("reproducibility b", reproducibility));
        inputs.Add(Span("hysteresis h", at.Hysteresis));
        return new UncertaintyBudget(inputs);
    }

    /// <summary>U′ = U + |mean − reference|: how far from the reference a reading may be (error span).</summary>
    /// <param name="expandedUncertainty">U = 2·u of the point's budget.</param>
    public double ErrorSpan(int point, double reference, double expandedUncertainty) =>
        expandedUncertainty + Math.Abs(Points[point].Mean - reference);

    private static UncertaintyInput Span(string name, double width) =>
        UncertaintyInput.FromLimits(name, 0, width / 2, 1, Distribution.Rectangular);

    private DkdPoint PointAt(int j) => new(
        Statistics.Mean([.. _series.Select(series => series[j])]),
        Spread(j, 2, 3),
        Spread(j, 4, 5),
        Pairs.Average(pair => Math.Abs(_series[pair.Down][j] - _series[pair.Up][j])));

    // |(x_up − x_up,0) − (x₁ − x₁,₀)| and |(x_down − x_up,0) − (x₂ − x₁,₀)|, the larger of those that were read.
    private double? Spread(int j, int up, int down)
    {
        if (up >= _series.Count)
            return null;
        double zero = _series[0][0];
        double again = _series[up][0];
        double ascending = Math.Abs(_series[up][j] - again - (_series[0][j] - zero));
        return down < _series.Count
            ? Math.Max(ascending, Math.Abs(_series[down][j] - again - (_series[1][j] - zero)))
            : ascending;
    }
}
