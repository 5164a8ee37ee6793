using Barostep.Evaluation.Drift;
using CsCheck;

namespace Barostep.Tests.Evaluation.Drift;

public sealed class WeightedLineTests
{
    // NIST Statistical Reference Datasets, Norris (linear regression, lower difficulty), in file order.
    private static readonly double[] _norrisX =
    [
        0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6,
        556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
    ];

    private static readonly double[] _norrisY =
    [
        0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
        557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
    ];

    [Fact]
    public void Equal_uncertainties_below_the_scatter_give_the_certified_values_of_Norris()
    {
        WeightedLine line = WeightedLine.Fit(_norrisX, _norrisY, [.. _norrisX.Select(_ => 0.01)])!;

        AssertClose(-0.262323073774029, line.Intercept);
        AssertClose(1.00211681802045, line.Slope);
        AssertClose(0.232818234301152, line.InterceptUncertainty);
        AssertClose(0.429796848199937e-3, line.SlopeUncertainty);
        AssertClose(0.884796396144373, line.BirgeRatio * 0.01);
        Assert.Equal(34, line.DegreesOfFreedom);
    }

    [Fact]
    public void Weights_do_what_repeating_a_point_would_do() =>
        Gen.Select(Gen.Double[-1, 1].Array[5], Gen.Int[1, 4].Array[5]).Sample((y, times) =>
        {
            double[] x = [0, 1, 2, 3, 4];
            int[] repeated = [.. Enumerable.Range(0, 5).SelectMany(i => Enumerable.Repeat(i, times[i]))];
            WeightedLine weighted = WeightedLine.Fit(x, y, [.. times.Select(n => 1 / Math.Sqrt(n))])!;
            WeightedLine plain = WeightedLine.Fit([.. repeated.Select(i => x[i])], [.. repeated.Select(i => y[i])], [.. repeated.Select(_ => 1.0)])!;
            Assert.Equal(plain.Slope, weighted.Slope, 1e-12);
            Assert.Equal(plain.Intercept, weighted.Intercept, 1e-12);
            Assert.Equal(plain.SlopeVariance, weighted.SlopeVariance, 1e-12);
        });

    [Fact]
    public void A_hand_computed_line()
    {
        // x = 0, 1, 3 with weights 4, 1, 1: Σw = 6, x̄ = 4/6, ȳ = (0·4 + 3 + 3)/6 = 1.
        // Sxx = 4·(2/3)² + (1/3)² + (7/3)² = 66/9; Sxy = 4·(−2/3)(−1) + (1/3)·2 + (7/3)·2 = 8; slope = 72/66 = 12/11.
        // intercept = 1 − (12/11)(2/3) = 3/11; χ² = Syy − slope·Sxy with Syy = 4·1 + 4 + 4 = 12: 12 − 96/11 = 36/11; ν = 1.
        WeightedLine line = WeightedLine.Fit([0, 1, 3], [0, 3, 3], [0.5, 1, 1])!;

        Assert.Equal(12.0 / 11, line.Slope, 1e-14);
        Assert.Equal(3.0 / 11, line.Intercept, 1e-14);
        Assert.Equal(36.0 / 11, line.ChiSquared, 1e-13);
        Assert.Equal(Math.Sqrt(9.0 / 66 * 36 / 11), line.SlopeUncertainty, 1e-14);
        Assert.Equal(Math.Sqrt((1.0 / 6 + (4.0 / 9 * 9 / 66)) * 36 / 11), line.InterceptUncertainty, 1e-14);
    }

    [Fact]
    public void Data_that_scatter_less_than_their_uncertainties_keep_those()
    {
        WeightedLine line = WeightedLine.Fit([-1, 0, 1], [0.1, 0.2, 0.3], [1, 1, 1])!;

        Assert.Equal(0, line.BirgeRatio, 1e-12);
        Assert.Equal(Math.Sqrt(0.5), line.SlopeUncertainty, 1e-14);
    }

    [Fact]
    public void One_day_alone_has_no_line() => Assert.Null(WeightedLine.Fit([2, 2, 2], [0, 1, 2], [1, 1, 1]));

    private static void AssertClose(double certified, double found) => Assert.Equal(certified, found, Math.Abs(certified) * 1e-11);
}
