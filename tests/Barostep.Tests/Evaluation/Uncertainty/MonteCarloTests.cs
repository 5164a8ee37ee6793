using Barostep.Evaluation.Formulas;
using Barostep.Evaluation.Uncertainty;
using CsCheck;

namespace Barostep.Tests.Evaluation.Uncertainty;

public sealed class MonteCarloTests
{
    // A fixed number of trials: no tolerance is ever reached.
    private static MonteCarloOptions Exactly(int trials, ulong seed = 20) => new(MostTrials: trials, Seed: seed, ToleranceShare: 0);

    [Theory]
    // JCGM 101:2008 9.2.2 and 9.2.3 print ±3.92 and ±3.88; the exact points are the normal and the Irwin-Hall quantile.
    [InlineData(Distribution.Normal, 3.91993)]
    [InlineData(Distribution.Rectangular, 3.879407)]
    public void Four_equal_inputs_add_up_as_in_JCGM_101(Distribution distribution, double half)
    {
        MonteCarloResult found = MonteCarlo.Propagate(PublishedModels.Sum(distribution, 1, 1, 1, 1), Exactly(1_000_000));

        Assert.Equal(0, found.Mean, 0.01);
        Assert.Equal(2.00, found.StandardUncertainty, 0.005);
        Assert.Equal(-half, found.Symmetric.Low, 0.015);
        Assert.Equal(half, found.Symmetric.High, 0.015);
        Assert.Equal(2 * half, found.Shortest.Length, 0.02);
        Assert.True(found.Shortest.Length <= found.Symmetric.Length);
    }

    [Fact]
    public void A_dominant_rectangular_input_is_not_validated()
    {
        // JCGM 101:2008 9.2.4, from memory: u = 10.1, ±17.0 by Monte Carlo and ±19.9 by the budget.
        MeasurementModel model = PublishedModels.Sum(Distribution.Rectangular, 1, 1, 1, 10);
        UncertaintyBudget budget = model.Budget();
        MonteCarloResult found = MonteCarlo.Propagate(model, Exactly(500_000));

        Assert.Equal(10.1489, found.StandardUncertainty, 0.05);
        Assert.Equal(2 * 17.016, found.Shortest.Length, 0.15);
        Assert.Equal(19.9, budget.Expanded(0.95).Value, 0.05);
        Assert.False(BudgetValidation.Of(model.Value, budget.Expanded(0.95), found).IsValidated);
    }

    [Fact]
    public void The_mass_of_JCGM_101_is_validated_in_second_order_only()
    {
        // JCGM 101:2008 9.3, one significant digit of u, so δ = 0.005 mg.
        MeasurementModel model = PublishedModels.Mass();
        MonteCarloResult found = MonteCarlo.Propagate(model, new MonteCarloOptions(Seed: 3));

        Assert.True(found.IsStable);
        Assert.Equal(0.005, found.NumericalTolerance, 1e-12);
        Assert.Equal(1.2340, found.Mean, 0.0003);
        Assert.Equal(0.0754, found.StandardUncertainty, 0.0003);
        Assert.Equal(0.299, found.Shortest.Length, 0.001);
        Assert.Equal(1.0834, found.Shortest.Low, 0.003);
        Assert.Equal(1.3825, found.Shortest.High, 0.003);

        BudgetValidation first = BudgetValidation.Of(model.Value, model.Budget().Expanded(0.95), found);
        BudgetValidation second = BudgetValidation.Of(model.Value, model.Budget(secondOrder: true).Expanded(0.95), found);
        Assert.False(first.IsValidated);
        Assert.Equal(0.0451, first.LowDifference, 0.003);
        Assert.Equal(0.0430, first.HighDifference, 0.003);
        Assert.True(second.IsValidated);
    }

    [Fact]
    public void The_logarithm_of_a_wide_input_has_its_published_mean()
    {
        // NPL report DEM-ES-011, 9.2: y = ln x, x rectangular from 0.1 to 1.1: −0.511 and 0.481 by the budget, −0.665 and 0.606 by Monte Carlo.
        MeasurementModel model = MeasurementModel.Of(
            Formula.Parse("ln(x)", ["x"]), [UncertaintyInput.FromLimits("x", 0.6, 0.5, 1, Distribution.Rectangular)]);
        MonteCarloResult found = MonteCarlo.Propagate(model, Exactly(1_000_000));

        Assert.Equal(-0.511, model.Value, 0.0005);
        Assert.Equal(0.481, model.Budget().Combined, 0.0005);
        Assert.Equal(-0.665, found.Mean, 0.003);
        Assert.Equal(0.606, found.StandardUncertainty, 0.003);
    }

    [Theory]
    [InlineData(Distribution.Normal)]
    [InlineData(Distribution.Rectangular)]
    [InlineData(Distribution.Triangular)]
    [InlineData(Distribution.Arcsine)]
    public void A_linear_model_agrees_with_its_budget_within_the_standard_error(Distribution distribution) =>
        Gen.Select(Gen.Double[-5, 5], Gen.Double[0.1, 3], Gen.Double[-2, 2], Gen.ULong).Sample((estimate, u, c, seed) =>
        {
            MeasurementModel model = MeasurementModel.Sum(
            [
                new UncertaintyInput("x", estimate, u, c, double.PositiveInfinity, distribution),
                new UncertaintyInput("y", 1, 0.5, -1, double.PositiveInfinity, distribution),
            ]);
            double combined = model.Budget().Combined;
            MonteCarloResult found = MonteCarlo.Propagate(model, Exactly(20_000, seed));
            // Six standard errors: one run in half a thousand million goes beyond.
            Assert.Equal(model.Value, found.Mean, 6 * combined / Math.Sqrt(20_000));
            Assert.Equal(combined, found.StandardUncertainty, 6 * combined / Math.Sqrt(2 * 20_000));
        }, iter: 20);

    [Fact]
    public void Correlated_inputs_are_drawn_correlated()
    {
        UncertaintyInput[] inputs = [new("x", 0, 1, 1, double.PositiveInfinity, Distribution.Normal), new("y", 0, 2, 1, double.PositiveInfinity, Distribution.Normal)];
        foreach (double r in new[] { -1, -0.6, 0.8, 1 })
        {
            MeasurementModel model = MeasurementModel.Sum(inputs, [new Correlation("x", "y", r)]);
            double exact = Math.Sqrt(5 + (4 * r));
            Assert.Equal(exact, MonteCarlo.Propagate(model, Exactly(100_000)).StandardUncertainty, 0.02 * exact);
        }
    }

    [Fact]
    public void Student_t_is_wider_than_its_standard_uncertainty_by_its_own_factor()
    {
        MeasurementModel model = MeasurementModel.Sum([new UncertaintyInput("x", 0, 1, 1, 8, Distribution.StudentT)]);
        MonteCarloResult found = MonteCarlo.Propagate(model, Exactly(1_000_000));

        // JCGM 101 6.4.9.4: √(ν/(ν − 2)); t for 95 % and ν = 8 from GUM table G.2.
        Assert.Equal(Math.Sqrt(8.0 / 6), found.StandardUncertainty, 0.01);
        Assert.Equal(2.31, found.Symmetric.High, 0.02);
        Assert.Equal(-2.31, found.Symmetric.Low, 0.02);
    }

    [Fact]
    public void One_seed_gives_one_result_and_another_seed_another()
    {
        MeasurementModel model = PublishedModels.Mass();

        Assert.Equal(MonteCarlo.Propagate(model, Exactly(20_000)), MonteCarlo.Propagate(model, Exactly(20_000)));
        Assert.NotEqual(MonteCarlo.Propagate(model, Exactly(20_000)).Mean, MonteCarlo.Propagate(model, Exactly(20_000, 21)).Mean);
    }

    [Fact]
    public void A_run_that_may_not_go_on_says_that_it_is_not_stable()
    {
        MonteCarloResult found = MonteCarlo.Propagate(PublishedModels.Mass(), new MonteCarloOptions(SignificantDigits: 2, MostTrials: 60_000));

        Assert.False(found.IsStable);
        Assert.Equal(60_000, found.Trials);
    }

    [Theory]
    // JCGM 101 7.9.2: half of the last digit that is meaningful.
    [InlineData(0.00035, 2, 0.000005)]
    [InlineData(2, 1, 0.5)]
    [InlineData(0.0754, 1, 0.005)]
    [InlineData(0.0754, 2, 0.0005)]
    [InlineData(0.0996, 2, 0.005)]
    [InlineData(9.6, 1, 5)]
    [InlineData(0.0754, null, 0.005)]
    [InlineData(10.15, null, 0.5)]
    public void The_numerical_tolerance_is_half_of_the_last_digit(double uncertainty, int? digits, double tolerance) =>
        Assert.Equal(tolerance, MonteCarlo.NumericalTolerance(uncertainty, digits), 1e-15);

    [Fact]
    public void Rejects_what_cannot_be_drawn()
    {
        UncertaintyInput[] inputs = [new("x", 1, 1, 1, double.PositiveInfinity, Distribution.Normal), UncertaintyInput.FromLimits("y", 0, 1, 1, Distribution.Rectangular)];

        Assert.Contains("y: correlated", Refused(MeasurementModel.Sum(inputs, [new Correlation("x", "y", 0.5)])), StringComparison.Ordinal);
        Assert.Contains("no value", Refused(MeasurementModel.Of(Formula.Parse("ln(x)", ["x"]), inputs[..1])), StringComparison.Ordinal);

        static string Refused(MeasurementModel model) =>
            Assert.Throws<ArgumentException>(() => MonteCarlo.Propagate(model, new MonteCarloOptions())).Message;
    }

    [Fact]
    public void The_generator_gives_the_numbers_of_its_authors()
    {
        // SplitMix64 from seed 1234567, and xoshiro256++ from state 1, 2, 3, 4: from memory of the authors' test vectors; the
        // first of xoshiro also by hand, rotl(1 + 4, 23) + 1.
        ulong state = 1234567;
        Assert.Equal(
            [6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431],
            new[] { Xoshiro256.SplitMix64(ref state), Xoshiro256.SplitMix64(ref state), Xoshiro256.SplitMix64(ref state), Xoshiro256.SplitMix64(ref state) });
        Xoshiro256 random = new(1, 2, 3, 4);
        Assert.Equal([41943041, 58720359, 3588806011781223, 3591011842654386], Enumerable.Range(0, 4).Select(_ => random.Next()).ToArray());
    }
}
