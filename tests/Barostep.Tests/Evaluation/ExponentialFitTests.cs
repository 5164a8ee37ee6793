using Barostep.Evaluation;
using Barostep.Simulators.Instruments;
using Barostep.Simulators.Pneumatics;

namespace Barostep.Tests.Evaluation;

public class ExponentialFitTests
{
    [Fact]
    public void Misra1a_comes_out_to_nine_digits()
    {
        // NIST Statistical Reference Datasets, nonlinear regression, Misra1a (lower difficulty): y = b1·(1 − exp(−b2·x)).
        double[] x = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0];
        double[] y = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78];
        ExponentialFit fit = ExponentialFit.Fit(x, y, ExponentialShape.RiseFromZero)!;

        AssertDigits(2.3894212918E+02, fit.Coefficients[0], 9);
        AssertDigits(5.5015643181E-04, 1 / fit.TimeConstant, 9);
        AssertDigits(1.2455138894E-01, fit.ResidualSumOfSquares, 9);
        AssertDigits(2.7070075241E+00, fit.Uncertainties[1], 8);
    }

    [Fact]
    public void BoxBOD_comes_out_to_nine_digits()
    {
        // NIST Statistical Reference Datasets, nonlinear regression, BoxBOD (higher difficulty): the same formula.
        double[] x = [1, 2, 3, 5, 7, 10];
        double[] y = [109, 149, 149, 191, 213, 224];
        ExponentialFit fit = ExponentialFit.Fit(x, y, ExponentialShape.RiseFromZero)!;

        AssertDigits(2.1380940889E+02, fit.Coefficients[0], 9);
        AssertDigits(5.4723748542E-01, 1 / fit.TimeConstant, 9);
        AssertDigits(1.1680088766E+03, fit.ResidualSumOfSquares, 9);
        AssertDigits(1.2354515176E+01, fit.Uncertainties[1], 8);
    }

    [Fact]
    public void A_leak_is_told_from_gas_that_cools()
    {
        double[] t = [.. Enumerable.Range(0, 600).Select(i => 0.1 * i)];
        var noise = new Pcg32(3, 1);
        double[] y = [.. t.Select(time => 120 * Math.Exp(-time / 8)).Zip(t, (cooling, time) => cooling - (0.7 * time) + (2 * noise.NextNormal()))];
        ExponentialFit fit = ExponentialFit.Fit(t, y, ExponentialShape.ToTrend)!;

        Assert.InRange((fit.Coefficients[2] + 0.7) / fit.Uncertainties[3], -3, 3);
        Assert.InRange((fit.TimeConstant - 8) / fit.Uncertainties[0], -3, 3);
        Assert.InRange((fit.Coefficients[0] - 120) / fit.Uncertainties[1], -3, 3);
    }

    [Fact]
    public void The_simulated_volume_cools_with_the_time_constant_of_its_heat_capacity_and_wall()
    {
        // A closed volume that gives its heat to a wall at constant temperature: tau = m·cv/G, from the energy balance.
        Gas gas = Gas.Find("nitrogen")!;
        var volume = new GasVolume(gas, 0.0005, 5e5, 320, []) { WallConductance = 0.8, WallHeatCapacity = double.PositiveInfinity };
        volume.AmbientK = 320;
        double expected = volume.MassKg * gas.Cv / 0.8;
        // The wall was set at the gas's own temperature: compress the gas in thought, so that it is hotter than its wall.
        volume.SetState(0.0005, volume.PressurePa * 1.05, 336);
        double[] t = new double[400];
        double[] p = new double[400];
        for (int i = 0; i < t.Length; i++)
        {
            (t[i], p[i]) = (0.02 * i, volume.PressurePa);
            volume.Step(0.02);
        }

        ExponentialFit fit = ExponentialFit.Fit(t, [.. p.Select(value => value - p[0])], ExponentialShape.ToRest)!;
        Assert.Equal(1, fit.TimeConstant / expected, 6);
    }

    [Theory]
    [InlineData(ExponentialShape.RiseFromZero, 2)]
    [InlineData(ExponentialShape.ToRest, 3)]
    [InlineData(ExponentialShape.ToTrend, 4)]
    public void As_many_unknowns_as_points_give_no_fit(ExponentialShape shape, int points)
    {
        double[] t = [.. Enumerable.Range(1, points).Select(i => (double)i)];
        Assert.Null(ExponentialFit.Fit(t, [.. t.Select(time => Math.Exp(-time))], shape));
    }

    [Fact]
    public void A_straight_line_has_no_time_constant()
    {
        double[] t = [.. Enumerable.Range(0, 50).Select(i => (double)i)];
        Assert.Null(ExponentialFit.Fit(t, [.. t.Select(time => 3 * time)], ExponentialShape.ToRest));
    }

    private static void AssertDigits(double certified, double found, int digits) =>
        Assert.True(Math.Abs(found / certified - 1) < 0.5 * Math.Pow(10, 1 - digits), $"certified {certified:E10}, found {found:E10}");
}
