using Barostep.Evaluation.Characteristics;
using Barostep.Evaluation.Formulas;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Tests.Evaluation.Uncertainty;

/// <summary>
/// The two-point range calibration of a pressure sensor by R. Kessel, R. Kacker and K. Sommer, Measurement 45 (2012)
/// 1661-1669, tables 4 and 7.
/// </summary>
public sealed class PressureSensorTests
{
    private const double RelativeOfReference = 0.000115;
    private const double ResolutionHalfWidth = 0.00005;

    private static readonly double[] _reference = [0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20];
    private static readonly double[] _indication = [0.0000, 0.2039, 0.4080, 0.6120, 0.8160, 1.0201, 1.2242, 1.4283, 1.6325, 1.8367, 2.0410];

    private static readonly double[] _expanded =
    [
        0.00582812, 0.00584124, 0.00589119, 0.00597701, 0.00609720, 0.00624986, 0.00643263, 0.00664303, 0.00687865, 0.00713689, 0.00741554,
    ];

    private static readonly double[] _pressure = [0, 1.99804, 3.99804, 5.99706, 7.99608, 9.99608, 11.9961, 13.9961, 15.9971, 17.9980, 20.0000];

    [Fact]
    public void Slope_and_intercept_have_their_published_uncertainties_and_correlation()
    {
        UncertaintyInput[] ends = Ends();
        MeasurementModel slope = Model("(y2 - y1)/(x2 - x1)", ends);
        MeasurementModel intercept = Model("y1 - (y2 - y1)/(x2 - x1)*x1", ends);

        Assert.Equal(9.799118079372857, slope.Value, 1e-12);
        Assert.Equal(0.001143817547, slope.Budget().Combined, 1e-11);
        Assert.Equal(0, intercept.Value, 1e-12);
        Assert.Equal(0.000282876173, intercept.Budget().Combined, 1e-11);

        double covariance = slope.Inputs.Zip(intercept.Inputs, (a, b) => a.Contribution * b.Contribution).Sum();
        Assert.Equal(-0.121170418642, covariance / (slope.Budget().Combined * intercept.Budget().Combined), 1e-9);
    }

    [Fact]
    public void The_departure_from_the_line_through_the_ends_is_the_published_one()
    {
        double[] residuals = [0, 0.00196, 0.00196, 0.00294, 0.00392, 0.00392, 0.00392, 0.00392, 0.00294, 0.00196, 0];
        Linearity line = Linearity.Of(LineKind.TerminalBased, _indication, _reference);

        for (int i = 0; i < residuals.Length; i++)
            Assert.Equal(residuals[i], _reference[i] - line.At(_indication[i]), 1e-5);
        // Own arithmetic: 0.00392 of 20 is 0.0196 % of span.
        Assert.Equal(0.000196, line.OfSpan(20), 1e-6);
    }

    [Fact]
    public void All_eleven_points_have_their_published_value_and_expanded_uncertainty()
    {
        for (int i = 0; i < _indication.Length; i++)
        {
            UncertaintyInput[] inputs =
            [
                new("a", 0, 0.00028, 1, double.PositiveInfinity, Distribution.Normal),
                new("b", 9.79912, 0.00114, 1, double.PositiveInfinity, Distribution.Normal),
                UncertaintyInput.FromLimits("x", _indication[i], ResolutionHalfWidth, 1, Distribution.Rectangular),
                UncertaintyInput.FromLimits("dlin", 0, 0.005, 1, Distribution.Rectangular),
            ];
            MeasurementModel model = MeasurementModel.Of(
                Formula.Parse("a + b*x + dlin", ["a", "b", "x", "dlin"]), inputs, [new Correlation("a", "b", -0.1212)]);

            Assert.Equal(_pressure[i], model.Value, 6e-5);
            Assert.Equal(_expanded[i], 2 * model.Budget().Combined, 1e-8);
        }
    }

    [Fact]
    public void With_the_sensor_linearised_slope_and_uncertainty_are_the_published_ones()
    {
        // f(x) stands in the formula, so that the resolution of x goes through it.
        MeasurementModel slope = Model($"(y2 - y1)/({Linearised("x2")} - {Linearised("x1")})", Ends());

        Assert.Equal(1.000011112, slope.Value, 1e-9);
        Assert.Equal(0.000116727, slope.Budget().Combined, 1e-9);
    }

    [Fact]
    public void With_the_sensor_linearised_the_points_have_their_published_uncertainty()
    {
        double[] expanded = [0.0011, 0.0012, 0.0014, 0.0018, 0.0021, 0.0025, 0.0030, 0.0034, 0.0038, 0.0043, 0.0047];
        string line = $"y1 + (y2 - y1)/({Linearised("x2")} - {Linearised("x1")})*({Linearised("x")} - {Linearised("x1")}) + dlin";
        for (int i = 0; i < expanded.Length; i++)
        {
            // The published worst residual, 0.0007, as bound of what is left of the non-linearity.
            UncertaintyInput[] inputs =
            [
                .. Ends(),
                UncertaintyInput.FromLimits("x", _indication[i], ResolutionHalfWidth, 1, Distribution.Rectangular),
                UncertaintyInput.FromLimits("dlin", 0, 0.0007, 1, Distribution.Rectangular),
            ];
            MeasurementModel model = MeasurementModel.Of(Formula.Parse(line, [.. inputs.Select(input => input.Name)]), inputs);
            Assert.Equal(expanded[i], 2 * model.Budget().Combined, 6e-5);
            Assert.Equal(_reference[i], model.Value, 0.0007);
        }
    }

    private static string Linearised(string x) => $"(9.806*{x} - 2.251e-3*{x}^2 - 5.753e-4*{x}^3)";

    private static MeasurementModel Model(string formula, UncertaintyInput[] inputs) =>
        MeasurementModel.Of(Formula.Parse(formula, ["x1", "x2", "y1", "y2"]), inputs);

    private static UncertaintyInput[] Ends() =>
    [
        UncertaintyInput.FromLimits("x1", _indication[0], ResolutionHalfWidth, 1, Distribution.Rectangular),
        UncertaintyInput.FromLimits("x2", _indication[^1], ResolutionHalfWidth, 1, Distribution.Rectangular),
        new("y1", _reference[0], RelativeOfReference * _reference[0], 1, double.PositiveInfinity, Distribution.Normal),
        new("y2", _reference[^1], RelativeOfReference * _reference[^1], 1, double.PositiveInfinity, Distribution.Normal),
    ];
}
