using Barostep.Evaluation.Uncertainty;
using CsCheck;

namespace Barostep.Tests.Evaluation.Uncertainty;

public sealed class StatedResultTests
{
    [Theory]
    // The end gauge of GUM H.1: 50.000 838 mm with U = 93 nm.
    [InlineData(50_000_838, 93.4, "50000838", "93")]
    [InlineData(10.04762, 0.0272, "10.048", "0.027")]
    // Halves go to the even digit: ISO 80000-1 annex B, rule A.
    [InlineData(1.005, 0.105, "1.00", "0.10")]
    [InlineData(1.015, 0.115, "1.02", "0.12")]
    [InlineData(50_000_838, 92.5, "50000838", "92")]
    [InlineData(2.5, 0.0996, "2.50", "0.10")]
    [InlineData(123_456, 9_960, "123000", "10000")]
    [InlineData(123_456, 1_234, "123500", "1200")]
    [InlineData(-0.00449, 0.010, "-0.004", "0.010")]
    [InlineData(7, 0.1, "7.00", "0.10")]
    public void The_uncertainty_has_two_digits_and_the_value_as_many_decimals(double value, double uncertainty, string valueText, string uncertaintyText)
    {
        StatedResult stated = StatedResult.Of(value, uncertainty);

        Assert.Equal((valueText, uncertaintyText), (stated.ValueText, stated.UncertaintyText));
    }

    [Fact]
    public void Rounding_never_takes_more_than_five_per_cent_off_an_uncertainty() =>
        Gen.Select(Gen.Double[1, 10], Gen.Int[-9, 9]).Sample((digits, exponent) =>
        {
            double uncertainty = digits * Math.Pow(10, exponent);
            double stated = (double)StatedResult.Of(0, uncertainty).Uncertainty;
            Assert.InRange(stated / uncertainty, 0.95, 1.05);
        });

    [Theory]
    [InlineData(0)]
    [InlineData(-1)]
    [InlineData(double.NaN)]
    public void Rejects_an_uncertainty_that_is_none(double uncertainty) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => StatedResult.Of(1, uncertainty));
}
