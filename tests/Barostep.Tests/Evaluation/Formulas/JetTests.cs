using Barostep.Evaluation.Formulas;
using CsCheck;

namespace Barostep.Tests.Evaluation.Formulas;

public sealed class JetTests
{
    [Theory]
    // f, and its first three derivatives at x, written out by hand.
    [InlineData("sqrt(x)", 4, 2, 0.25, -1.0 / 32, 3.0 / 256)]
    [InlineData("x^3", 2, 8, 12, 12, 6)]
    [InlineData("x^2", 0, 0, 0, 2, 0)]
    [InlineData("1/x", 2, 0.5, -0.25, 0.25, -0.375)]
    [InlineData("exp(2*x)", 0, 1, 2, 4, 8)]
    [InlineData("ln(x)", 2, 0.6931471805599453, 0.5, -0.25, 0.25)]
    [InlineData("log10(x)", 10, 1, 0.04342944819032518, -0.004342944819032518, 0.0008685889638065036)]
    [InlineData("sin(x)", 0, 0, 1, 0, -1)]
    [InlineData("cos(x)", 0, 1, 0, -1, 0)]
    [InlineData("tan(x)", 0, 0, 1, 0, 2)]
    [InlineData("asin(x)", 0, 0, 1, 0, 1)]
    [InlineData("acos(x)", 0, 1.5707963267948966, -1, 0, -1)]
    [InlineData("atan(x)", 0, 0, 1, 0, -2)]
    [InlineData("atan(x)", 1, 0.7853981633974483, 0.5, -0.5, 0.5)]
    [InlineData("sinh(x)", 0, 0, 1, 0, 1)]
    [InlineData("cosh(x)", 0, 1, 0, 1, 0)]
    [InlineData("tanh(x)", 0, 0, 1, 0, -2)]
    [InlineData("abs(x)", -3, 3, -1, 0, 0)]
    [InlineData("2^x", 0, 1, 0.6931471805599453, 0.4804530139182014, 0.3330246519889294)]
    [InlineData("x^2.5", 1, 1, 2.5, 3.75, 1.875)]
    [InlineData("-x", 5, -5, -1, 0, 0)]
    public void Derivatives_are_those_of_the_textbook(string text, double x, double f, double first, double second, double third)
    {
        Jet jet = Formula.Parse(text, ["x"]).Differentiate([x], 0);

        Assert.Equal(f, jet.Value, 1e-13);
        Assert.Equal(first, jet.Derivative(1, 0), 1e-13);
        Assert.Equal(second, jet.Derivative(2, 0), 1e-13);
        Assert.Equal(third, jet.Derivative(3, 0), 1e-13);
    }

    [Fact]
    public void Mixed_derivatives_are_those_of_a_polynomial() =>
        Gen.Select(Gen.Double[-2, 2], Gen.Double[-2, 2]).Sample((x, y) =>
        {
            // f = x³·y² + 2·x·y: f_xy = 6x²y + 2, f_xyy = 6x², f_xxy = 12xy.
            Jet jet = Formula.Parse("x^3*y^2 + 2*x*y", ["x", "y"]).Differentiate([x, y], 0, 1);
            Assert.Equal((3 * x * x * y * y) + (2 * y), jet.Derivative(1, 0), 1e-10);
            Assert.Equal((6 * x * x * y) + 2, jet.Derivative(1, 1), 1e-10);
            Assert.Equal(6 * x * x, jet.Derivative(1, 2), 1e-10);
            Assert.Equal(12 * x * y, jet.Derivative(2, 1), 1e-10);
        });

    [Theory]
    [InlineData("sqrt(x*y) + x/y")]
    [InlineData("exp(-x)*sin(x*y)^2")]
    [InlineData("ln(x + y)/atan(x)")]
    [InlineData("(x^y)*tanh(x - y) + asin(x/4)")]
    public void First_derivatives_agree_with_differences(string text)
    {
        Formula formula = Formula.Parse(text, ["x", "y"]);
        Gen.Select(Gen.Double[0.5, 3], Gen.Double[0.5, 3]).Sample((x, y) =>
        {
            const double h = 1e-6;
            double difference = (formula.Evaluate([x + h, y]) - formula.Evaluate([x - h, y])) / (2 * h);
            Assert.Equal(difference, formula.Differentiate([x, y], 0).Derivative(1, 0), 1e-6 * Math.Max(1, Math.Abs(difference)));
        });
    }
}
