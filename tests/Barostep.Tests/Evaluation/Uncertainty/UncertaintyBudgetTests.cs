using Barostep.Evaluation.Uncertainty;

namespace Barostep.Tests.Evaluation.Uncertainty;

public sealed class UncertaintyBudgetTests
{
    [Fact]
    public void The_end_gauge_of_GUM_H1_has_its_published_budget()
    {
        // JCGM 100:2008 H.1, in nanometres.
        const double standard = 50_000_623;
        UncertaintyBudget difference = new(
        [
            new("repeated observations", 0, 5.8, 1, 24, Distribution.Normal),
            new("comparator, random", 0, 3.9, 1, 5, Distribution.Normal),
            new("comparator, systematic", 0, 6.7, 1, 8, Distribution.Normal),
        ]);
        Assert.Equal(9.7, difference.Combined, 0.05);
        // Printed 25.6, which comes from the rounded 9.7.
        Assert.Equal(25.6, difference.EffectiveDegreesOfFreedom, 0.2);

        UncertaintyBudget length = new(
        [
            UncertaintyInput.FromExpanded("standard", standard, 75, 3, 1, 18),
            new("difference", 215, 9.7, 1, 25.6, Distribution.Normal),
            UncertaintyInput.FromLimits("difference of expansion", 0, 1e-6, standard * 0.1, Distribution.Rectangular, 50),
            UncertaintyInput.FromLimits("difference of temperature", 0, 0.05, -standard * 11.5e-6, Distribution.Rectangular, 2),
        ]);
        Assert.Equal([25, 9.7, 2.9, -16.6], length.Inputs.Select(input => Math.Round(input.Contribution, 1)));
        Assert.Equal(32, length.Combined, 0.5);
        Assert.Equal(16.7, length.EffectiveDegreesOfFreedom, 0.1);

        ExpandedUncertainty expanded = length.Expanded(0.99);
        Assert.Equal(16, expanded.DegreesOfFreedom);
        Assert.Equal(2.92, expanded.CoverageFactor, 0.005);
        // Printed 93 = 2.92 × 32, from the rounded 32.
        Assert.Equal(93, expanded.Value, 1.0);
    }

    [Fact]
    public void Three_relative_uncertainties_combine_as_in_GUM_G41()
    {
        // From memory: y = b·x1·x2·x3 with 0.25 %, 0.57 %, 0.82 % from 10, 5 and 15 observations.
        UncertaintyBudget budget = new(
        [
            new("x1", 0, 0.25, 1, 9, Distribution.Normal),
            new("x2", 0, 0.57, 1, 4, Distribution.Normal),
            new("x3", 0, 0.82, 1, 14, Distribution.Normal),
        ]);

        Assert.Equal(1.03, budget.Combined, 0.005);
        Assert.Equal(19.0, budget.EffectiveDegreesOfFreedom, 0.05);
        Assert.Equal(2.2, budget.Expanded(0.95).Value, 0.05);
        Assert.Equal(1, budget.Inputs.Sum(budget.ShareOf), 1e-12);
    }

    [Fact]
    public void The_scale_of_the_output_changes_no_degrees_of_freedom()
    {
        UncertaintyInput[] inputs = [new("a", 0, 3, 1, 4, Distribution.Normal), new("b", 0, 4, 1, 9, Distribution.Normal)];
        double plain = new UncertaintyBudget(inputs).EffectiveDegreesOfFreedom;

        // (3² + 4²)² / (3⁴/4 + 4⁴/9), by hand.
        Assert.Equal(625 / (20.25 + (256 / 9.0)), plain, 1e-12);
        foreach (double scale in new[] { 1e-100, 1e-9, 1e9, 1e100 })
            Assert.Equal(plain, new UncertaintyBudget([.. inputs.Select(input => input with { Sensitivity = scale })]).EffectiveDegreesOfFreedom, 1e-9);
    }

    [Fact]
    public void Exact_inputs_take_the_normal_factor_and_doubtful_ones_at_least_one_degree()
    {
        UncertaintyBudget exact = new([UncertaintyInput.FromExpanded("reference", 0, 2, 2, 1)]);
        UncertaintyBudget doubtful = new([new("guess", 0, 1, 1, 0.6, Distribution.Normal)]);

        Assert.Equal(1.959964, exact.Expanded(0.95).Value, 1e-6);
        Assert.Equal(1, doubtful.Expanded(0.95).DegreesOfFreedom);
    }

    [Theory]
    // Half-width 6 over √3, √6 and √2 (GUM 4.3.7, 4.3.9 and H.1.3.4).
    [InlineData(Distribution.Rectangular, 3.4641016)]
    [InlineData(Distribution.Triangular, 2.4494897)]
    [InlineData(Distribution.Arcsine, 4.2426407)]
    public void Limits_become_standard_uncertainties(Distribution distribution, double expected) =>
        Assert.Equal(expected, UncertaintyInput.FromLimits("x", 0, 6, 1, distribution).StandardUncertainty, 1e-7);

    [Fact]
    public void Readings_give_the_deviation_of_their_mean()
    {
        UncertaintyInput input = UncertaintyInput.FromReadings("readings", [1, 2, 3, 4], 1);

        Assert.Equal(2.5, input.Estimate);
        Assert.Equal(Math.Sqrt(5.0 / 3 / 4), input.StandardUncertainty, 1e-15);
        Assert.Equal(3, input.DegreesOfFreedom);
        // GUM G.3, from memory: known to 25 %, 8 degrees of freedom; to 50 %, 2, as for the temperature in H.1.
        Assert.Equal(8, UncertaintyInput.DegreesOfFreedomFor(0.25), 1e-12);
        Assert.Equal(2, UncertaintyInput.DegreesOfFreedomFor(0.50), 1e-12);
    }

    [Theory]
    [InlineData(-1, 5)]
    [InlineData(double.NaN, 5)]
    [InlineData(double.PositiveInfinity, 5)]
    [InlineData(1, 0)]
    [InlineData(1, double.NaN)]
    public void Rejects_what_is_no_uncertainty_and_names_the_input(double uncertainty, double degrees)
    {
        ArgumentException error = Assert.Throws<ArgumentException>(() =>
            new UncertaintyBudget([new("barometer", 0, uncertainty, 1, degrees, Distribution.Normal)]));

        Assert.StartsWith("barometer: ", error.Message, StringComparison.Ordinal);
    }
}
