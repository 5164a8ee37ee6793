using Barostep.Evaluation.Characteristics;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Tests.Evaluation.Characteristics;

/// <summary>Formulas of DKD-R 6-1 from memory; no worked example could be read, so the figures are by hand.</summary>
public sealed class DkdSeriesTests
{
    // Zero, middle, top of a device; six series of sequence A.
    private static readonly double[][] _series =
    [
        [0.00, 5.02, 10.05],
        [0.02, 5.05, 10.06],
        [0.01, 5.01, 10.07],
        [0.00, 5.07, 10.05],
        [0.03, 5.06, 10.12],
        [0.06, 5.10, 10.11],
    ];

    [Fact]
    public void Sequence_A_has_zero_deviation_repeatability_reproducibility_and_hysteresis()
    {
        DkdSeries series = new(_series);
        DkdPoint middle = series.Points[1];

        // max(|0.02 − 0|, |0 − 0.01|, |0.06 − 0.03|)
        Assert.Equal(0.03, series.ZeroDeviation, 1e-12);
        // up |(5.01 − 0.01) − (5.02 − 0)| = 0.02, down |(5.07 − 0.01) − (5.05 − 0)| = 0.01
        Assert.Equal(0.02, middle.Repeatability!.Value, 1e-12);
        // up |(5.06 − 0.03) − 5.02| = 0.01, down |(5.10 − 0.03) − 5.05| = 0.02
        Assert.Equal(0.02, middle.Reproducibility!.Value, 1e-12);
        // (0.03 + 0.06 + 0.04)/3
        Assert.Equal(0.13 / 3, middle.Hysteresis, 1e-12);
        Assert.Equal(30.31 / 6, middle.Mean, 1e-12);
    }

    [Fact]
    public void Shorter_sequences_leave_out_what_was_not_read()
    {
        DkdSeries b = new(_series[..3]);
        DkdSeries c = new(_series[..2]);

        Assert.Equal(0.02, b.Points[1].Repeatability!.Value, 1e-12);
        Assert.Null(b.Points[1].Reproducibility);
        Assert.Equal(0.03, b.Points[1].Hysteresis, 1e-12);
        Assert.Null(c.Points[1].Repeatability);
        Assert.Equal(4, c.BudgetAt(1, 0.01, 0.01).Inputs.Count);
    }

    [Fact]
    public void Each_width_enters_with_its_half_as_a_rectangle()
    {
        UncertaintyBudget budget = new DkdSeries(_series).BudgetAt(1, 0.01, 0.02);
        double squares = (0.02 * 0.02) + (0.03 * 0.03) + (0.02 * 0.02) + (0.02 * 0.02) + Math.Pow(0.13 / 3, 2);

        Assert.Equal(Math.Sqrt((0.01 * 0.01) + (squares / 12)), budget.Combined, 1e-12);
        Assert.Equal((2 * budget.Combined) + Math.Abs((30.31 / 6) - 5), new DkdSeries(_series).ErrorSpan(1, 5, 2 * budget.Combined), 1e-12);
    }

    [Fact]
    public void Rejects_series_that_are_no_sequence()
    {
        Assert.Contains("5 series", Assert.Throws<ArgumentException>(() => new DkdSeries(_series[..5])).Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => new DkdSeries([[0, 1], [0, 1, 2]]));
    }
}
