using Barostep.Evaluation;
using CsCheck;

namespace Barostep.Tests.Evaluation;

/// <summary>NIST Statistical Reference Datasets, Wampler 1 to 3 (polynomials, higher difficulty), x = 0 … 20.</summary>
public sealed class PolynomialFitTests
{
    private static readonly double[] _x = [.. Enumerable.Range(0, 21).Select(i => (double)i)];

    [Fact]
    public void Wampler_1_and_2_are_fitted_exactly()
    {
        double[] first = [1, 6, 63, 364, 1365, 3906, 9331, 19608, 37449, 66430, 111111, 177156, 271453, 402234, 579195, 813616, 1118481, 1508598, 2000719, 2613660, 3368421];
        double[] second = [.. _x.Select(x => Enumerable.Range(0, 6).Sum(k => Math.Pow(0.1, k) * Math.Pow(x, k)))];

        PolynomialFit one = PolynomialFit.Fit(_x, first, 5)!;
        PolynomialFit two = PolynomialFit.Fit(_x, second, 5)!;

        for (int k = 0; k <= 5; k++)
        {
            Assert.Equal(1, one.Coefficients[k], 1e-8);
            Assert.Equal(1, two.Coefficients[k] / Math.Pow(0.1, k), 1e-10);
        }

        // Certified 0; what is left is rounding of numbers up to 3e6.
        Assert.Equal(0, one.ResidualDeviation!.Value, 1e-7);
    }

    [Fact]
    public void Wampler_3_has_its_certified_standard_deviations()
    {
        double[] y = [760, -2042, 2111, -1684, 3888, 1858, 11379, 17560, 39287, 64382, 113159, 175108, 273291, 400186, 581243, 811568, 1121004, 1506550, 2002767, 2611612, 3369180];
        double[] certified = [2152.3262467817, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752, 0.112324854679312];

        PolynomialFit fit = PolynomialFit.Fit(_x, y, 5)!;

        for (int k = 0; k <= 5; k++)
        {
            Assert.Equal(1, fit.Coefficients[k], 1e-8);
            Assert.Equal(1, fit.Uncertainties![k] / certified[k], 1e-9);
        }

        Assert.Equal(1, fit.ResidualDeviation!.Value / 2360.14502379268, 1e-9);
        Assert.Equal(15, fit.DegreesOfFreedom);
    }

    [Fact]
    public void A_polynomial_of_degree_one_is_the_straight_line() =>
        Gen.Double[-10, 10].Array[3, 20].Sample(y =>
        {
            double[] x = [.. Enumerable.Range(0, y.Length).Select(i => 1e6 + (1000.0 * i))];
            PolynomialFit fit = PolynomialFit.Fit(x, y, 1)!;
            StraightLine line = StraightLine.Fit(x, y)!;
            Assert.Equal(line.Slope, fit.Coefficients[1], 1e-9 * Math.Max(1, Math.Abs(line.Slope)));
            Assert.Equal(line.ResidualDeviation!.Value, fit.ResidualDeviation!.Value, 1e-7);
            Assert.Equal(1, fit.Uncertainties![1] / Math.Max(1e-300, line.SlopeUncertainty!.Value), line.ResidualDeviation < 1e-6 ? 1e9 : 1e-5);
        });

    [Fact]
    public void Too_few_different_values_give_no_curve()
    {
        Assert.Null(PolynomialFit.Fit([1, 1, 2], [1, 2, 3], 2));
        Assert.Null(PolynomialFit.Fit([1, 2, 3], [1, 2, 3], 2)!.ResidualDeviation);
    }
}
