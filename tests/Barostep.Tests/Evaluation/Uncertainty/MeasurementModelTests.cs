using Barostep.Evaluation;
using Barostep.Evaluation.Formulas;
using Barostep.Evaluation.Uncertainty;
using CsCheck;

namespace Barostep.Tests.Evaluation.Uncertainty;

public sealed class MeasurementModelTests
{
    [Fact]
    public void The_end_gauge_of_GUM_H1_comes_out_of_its_formula_with_second_order_terms()
    {
        MeasurementModel model = EndGauge();
        UncertaintyBudget first = model.Budget();

        // JCGM 100:2008 H.1, in nanometres.
        Assert.Equal(50_000_838, model.Value);
        Assert.Equal([25, 9.7, 2.9, 0, 0, -16.6], first.Inputs.Select(input => Math.Round(input.Contribution, 1) + 0.0));
        Assert.Equal(32, first.Combined, 0.5);
        Assert.Equal(16.7, first.EffectiveDegreesOfFreedom, 0.1);
        Assert.Equal(2.92, first.Expanded(0.99).CoverageFactor, 0.005);
        Assert.Equal(93, first.Expanded(0.99).Value, 1.0);

        // H.1.7: 11.7 nm and 1.7 nm from memory, reproduced; 34 nm printed.
        Assert.Equal(34, model.Budget(secondOrder: true).Combined, 0.5);
        Assert.Equal(Math.Sqrt((11.726 * 11.726) + (1.667 * 1.667)), Math.Sqrt(model.HigherOrderVariance()), 0.002);
    }

    [Fact]
    public void The_thermometer_of_GUM_H3_is_corrected_beyond_its_readings()
    {
        // JCGM 100:2008 H.3, t0 = 20 °C.
        double[] t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
        double[] b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
        StraightLine line = StraightLine.Fit([.. t.Select(value => value - 20)], b)!;
        double r = line.Covariance!.Value / (line.InterceptUncertainty!.Value * line.SlopeUncertainty!.Value);
        UncertaintyInput[] inputs =
        [
            new("y1", line.Intercept, line.InterceptUncertainty.Value, 1, 9, Distribution.Normal),
            new("y2", line.Slope, line.SlopeUncertainty.Value, 1, 9, Distribution.Normal),
        ];
        Formula formula = Formula.Parse("y1 + y2*(30 - 20)", ["y1", "y2"]);
        MeasurementModel model = MeasurementModel.Of(formula, inputs, [new Correlation("y1", "y2", r)]);

        Assert.Equal(-0.1494, model.Value, 5e-5);
        Assert.Equal(0.0041, model.Budget().Combined, 5e-5);
        Assert.True(model.Budget().DegreesOfFreedomAreApproximate);
        // Without the correlation it would be 0.0073.
        Assert.Equal(0.0073, MeasurementModel.Of(formula, inputs).Budget().Combined, 5e-5);
    }

    [Fact]
    public void Three_relative_uncertainties_multiply_as_in_GUM_G41()
    {
        // From memory, arithmetic reproduced: y = b·x1·x2·x3 with 0.25 %, 0.57 %, 0.82 % from 10, 5 and 15 observations.
        UncertaintyInput[] inputs =
        [
            new("x1", 2, 2 * 0.0025, 1, 9, Distribution.StudentT),
            new("x2", 3, 3 * 0.0057, 1, 4, Distribution.StudentT),
            new("x3", 5, 5 * 0.0082, 1, 14, Distribution.StudentT),
        ];
        MeasurementModel model = MeasurementModel.Of(Formula.Parse("7*x1*x2*x3", ["x1", "x2", "x3"]), inputs);

        Assert.Equal(0.0103, model.Budget().Combined / model.Value, 5e-5);
        Assert.Equal(19.0, model.Budget().EffectiveDegreesOfFreedom, 0.05);
        Assert.Equal(0.022, model.Budget().Expanded(0.95).Value / model.Value, 0.0005);
    }

    [Fact]
    public void The_mass_of_JCGM_101_has_its_first_and_second_order_uncertainty()
    {
        // JCGM 101:2008 9.3; results from memory, reproduced by an independent run.
        MeasurementModel mass = PublishedModels.Mass();

        Assert.Equal(1.2340, mass.Value, 1e-9);
        Assert.Equal(0.0539, mass.Budget().Combined, 5e-5);
        Assert.Equal(0.0750, mass.Budget(secondOrder: true).Combined, 5e-5);
        Assert.Equal(1.234 - 0.105547, mass.Value - mass.Budget().Expanded(0.95).Value, 5e-5);
    }

    [Fact]
    public void The_weight_of_EA_4_02_S2_has_its_uncertainty()
    {
        // EA-4/02 S2: from memory, 29.3 mg and U = 59 mg; an uncertainty program's example of the same problem has 58 mg.
        MeasurementModel model = MeasurementModel.Sum(
        [
            UncertaintyInput.FromExpanded("standard", 10_000_005, 45, 2, 1),
            UncertaintyInput.FromLimits("drift", 0, 15, 1, Distribution.Rectangular),
            new("difference", 20, 25 / Math.Sqrt(3), 1, double.PositiveInfinity, Distribution.Normal),
            UncertaintyInput.FromLimits("eccentricity", 0, 10, 1, Distribution.Rectangular),
            UncertaintyInput.FromLimits("buoyancy", 0, 10, 1, Distribution.Rectangular),
        ]);

        Assert.Equal(10_000_025, model.Value);
        Assert.Equal(29.3, model.Budget().Combined, 0.05);
        Assert.Equal(59, model.Budget().ExpandedAfterEa402().Value, 1.0);
        Assert.Equal(2.0, model.Budget().ExpandedAfterEa402().CoverageFactor, 1e-6);
        Assert.Null(model.Budget().DominantRectangular);
    }

    [Fact]
    public void The_multimeter_of_EA_4_02_S9_is_dominated_by_its_resolution()
    {
        // EA-4/02 S9, from memory, arithmetic reproduced: E = 0.10 V, u = 0.030 V, k = 1.65, U = 0.05 V.
        UncertaintyInput[] inputs =
        [
            new("indication", 100.1, 0, 1, double.PositiveInfinity, Distribution.Normal),
            UncertaintyInput.FromExpanded("standard", 100.0, 0.002, 2, -1),
            UncertaintyInput.FromLimits("resolution", 0, 0.05, 1, Distribution.Rectangular),
            UncertaintyInput.FromLimits("other corrections", 0, 0.011, -1, Distribution.Rectangular),
        ];
        UncertaintyBudget budget = MeasurementModel.Sum(inputs).Budget();

        Assert.Equal(0.10, MeasurementModel.Sum(inputs).Value, 1e-9);
        Assert.Equal(0.030, budget.Combined, 0.0005);
        Assert.Equal("resolution", budget.DominantRectangular!.Name);
        Assert.Equal(1.65, budget.ExpandedAfterEa402().CoverageFactor);
        Assert.Equal(0.0488, budget.ExpandedAfterEa402().Value, 5e-5);

        // Three times the other corrections, and together they are more than 0.3 of the resolution.
        inputs[3] = inputs[3] with { StandardUncertainty = 3 * inputs[3].StandardUncertainty };
        Assert.Null(MeasurementModel.Sum(inputs).Budget().DominantRectangular);
    }

    [Fact]
    public void A_contribution_more_never_makes_the_uncertainty_smaller() =>
        Gen.Select(Gen.Double[0.01, 10], Gen.Double[-3, 3]).Array[1, 8].Sample(pairs =>
        {
            UncertaintyInput[] inputs = [.. pairs.Select((pair, i) => new UncertaintyInput($"x{i}", 0, pair.Item1, pair.Item2, double.PositiveInfinity, Distribution.Normal))];
            double all = MeasurementModel.Sum(inputs).Budget().Expanded(0.95).Value;
            Assert.True(all >= MeasurementModel.Sum(inputs[..^1]).Budget().Expanded(0.95).Value);
        });

    [Fact]
    public void Sensitivities_given_and_found_make_one_budget() =>
        Gen.Select(Gen.Double[-5, 5], Gen.Double[-5, 5], Gen.Double[-0.9, 0.9]).Sample((a, b, r) =>
        {
            UncertaintyInput[] inputs = [new("x", 2, 0.1, a, 5, Distribution.Normal), new("y", 3, 0.2, b, 7, Distribution.Normal)];
            Correlation[] correlations = [new("x", "y", r)];
            Formula formula = Formula.Parse(FormattableString.Invariant($"({a:R})*x + ({b:R})*y"), ["x", "y"]);
            UncertaintyBudget given = MeasurementModel.Sum(inputs, correlations).Budget();
            UncertaintyBudget found = MeasurementModel.Of(formula, inputs, correlations).Budget();
            Assert.Equal(given.Combined, found.Combined, 1e-12);
            double variance = (a * a * 0.01) + (b * b * 0.04) + (2 * a * b * 0.02 * r);
            Assert.Equal(variance, given.Combined * given.Combined, 1e-12);
        });

    [Theory]
    [InlineData(1, 1, 0.3)]
    [InlineData(1, -1, 0.1)]
    public void Fully_correlated_inputs_add_or_cancel(double r, double sign, double expected)
    {
        UncertaintyInput[] inputs = [new("x", 0, 0.1, 1, double.PositiveInfinity, Distribution.Normal), new("y", 0, 0.2, sign, double.PositiveInfinity, Distribution.Normal)];

        Assert.Equal(expected, MeasurementModel.Sum(inputs, [new Correlation("x", "y", r)]).Budget().Combined, 1e-12);
    }

    [Fact]
    public void Rejects_correlations_that_nothing_can_have()
    {
        UncertaintyInput[] inputs = [.. new[] { "a", "b", "c" }.Select(name => new UncertaintyInput(name, 0, 1, 1, double.PositiveInfinity, Distribution.Normal))];

        Assert.Contains("contradict", Refused([new("a", "b", 0.9), new("b", "c", 0.9), new("a", "c", -0.9)]), StringComparison.Ordinal);
        Assert.Contains("itself", Refused([new("a", "a", 0.9)]), StringComparison.Ordinal);
        Assert.Contains("twice", Refused([new("a", "b", 0.9), new("b", "a", 0.9)]), StringComparison.Ordinal);
        Assert.Contains("from -1 to 1", Refused([new("a", "b", 1.1)]), StringComparison.Ordinal);
        Assert.Contains("d is no input", Refused([new("a", "d", 0.1)]), StringComparison.Ordinal);

        string Refused(Correlation[] correlations) =>
            Assert.Throws<ArgumentException>(() => MeasurementModel.Sum(inputs, correlations).Budget()).Message;
    }

    [Fact]
    public void Rejects_a_model_without_value_or_derivative_there()
    {
        UncertaintyInput[] inputs = [new("x", 0, 1, 1, double.PositiveInfinity, Distribution.Normal)];

        Assert.Contains("no value", Refused("1/x"), StringComparison.Ordinal);
        Assert.Contains("no derivative by x", Refused("sqrt(x)"), StringComparison.Ordinal);
        Assert.Contains("no derivative by x", Refused("abs(x)"), StringComparison.Ordinal);

        string Refused(string formula) =>
            Assert.Throws<ArgumentException>(() => MeasurementModel.Of(Formula.Parse(formula, ["x"]), inputs)).Message;
    }

    private static MeasurementModel EndGauge()
    {
        UncertaintyInput[] inputs =
        [
            UncertaintyInput.FromExpanded("ls", 50_000_623, 75, 3, 1, 18),
            new("d", 215, 9.7, 1, 25.6, Distribution.Normal),
            UncertaintyInput.FromLimits("dalpha", 0, 1e-6, 1, Distribution.Rectangular, 50),
            // 0.2 °C of the mean with an arcsine of ±0.5 °C: 0.406, printed 0.41.
            new("theta", -0.1, Math.Sqrt((0.2 * 0.2) + (0.5 * 0.5 / 2)), 1, double.PositiveInfinity, Distribution.Normal),
            UncertaintyInput.FromLimits("alphas", 11.5e-6, 2e-6, 1, Distribution.Rectangular),
            UncertaintyInput.FromLimits("dtheta", 0, 0.05, 1, Distribution.Rectangular, 2),
        ];
        return MeasurementModel.Of(Formula.Parse("ls + d - ls*(dalpha*theta + alphas*dtheta)", [.. inputs.Select(input => input.Name)]), inputs);
    }
}
