using Barostep.Evaluation;
using CsCheck;

namespace Barostep.Tests.Evaluation;

public sealed class StraightLineTests
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
    public void Norris_is_fitted_to_its_certified_values()
    {
        StraightLine line = StraightLine.Fit(_norrisX, _norrisY)!;

        AssertClose(-0.262323073774029, line.Intercept);
        AssertClose(1.00211681802045, line.Slope);
        AssertClose(0.232818234301152, line.InterceptUncertainty!.Value);
        AssertClose(0.429796848199937e-3, line.SlopeUncertainty!.Value);
        AssertClose(0.884796396144373, line.ResidualDeviation!.Value);
        // Not certified: the GNU Scientific Library's tests of the same data have −7.74327536339570e-05, itself good to
        // 3e-11; this is the value from exact rational arithmetic.
        AssertClose(-7.743275363156437e-05, line.Covariance!.Value);
        Assert.Equal(34, line.DegreesOfFreedom);
    }

    [Fact]
    public void The_thermometer_of_GUM_H3_has_its_published_line()
    {
        // JCGM 100:2008 H.3, t0 = 20 °C.
        double[] t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
        double[] b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];

        StraightLine line = StraightLine.Fit([.. t.Select(value => value - 20)], b)!;

        Assert.Equal(-0.1712, line.Intercept, 5e-5);
        Assert.Equal(0.0029, line.InterceptUncertainty!.Value, 5e-5);
        Assert.Equal(0.00218, line.Slope, 5e-6);
        Assert.Equal(0.00067, line.SlopeUncertainty!.Value, 5e-6);
        Assert.Equal(0.0035, line.ResidualDeviation!.Value, 5e-5);
        Assert.Equal(-0.930, line.Covariance!.Value / (line.InterceptUncertainty.Value * line.SlopeUncertainty.Value), 5e-4);
    }

    [Fact]
    public void A_line_far_from_the_origin_keeps_its_digits() =>
        Gen.Select(Gen.Double[-1, 1], Gen.Double[-1, 1]).Sample((intercept, slope) =>
        {
            double[] x = [.. Enumerable.Range(0, 11).Select(i => 1e7 + i)];
            double[] y = [.. x.Select(value => intercept + (slope * (value - 1e7)))];
            StraightLine line = StraightLine.Fit(x, y)!;
            Assert.Equal(slope, line.Slope, 1e-12);
        });

    [Fact]
    public void Two_points_give_a_line_without_uncertainty_and_one_pressure_gives_none()
    {
        StraightLine line = StraightLine.Fit([0, 2], [1, 5])!;

        Assert.Equal((1.0, 2.0), (line.Intercept, line.Slope));
        Assert.Null(line.SlopeUncertainty);
        Assert.Null(StraightLine.Fit([3, 3, 3], [1, 2, 3]));
        Assert.Null(StraightLine.Fit([3], [1]));
    }

    private static void AssertClose(double certified, double computed) =>
        Assert.True(Math.Abs(computed - certified) <= 1e-11 * Math.Abs(certified), $"{computed:R} is not {certified:R} to 1e-11");
}
