using Barostep.Evaluation.Decisions;
using Barostep.Safety;
using CsCheck;

namespace Barostep.Tests.Evaluation.Decisions;

public sealed class DecisionTests
{
    [Theory]
    // JCGM 106:2012 table 1, from memory: probability of conformance and z to two decimals.
    [InlineData(0.80, 0.84)]
    [InlineData(0.90, 1.28)]
    [InlineData(0.95, 1.64)]
    [InlineData(0.99, 2.33)]
    [InlineData(0.999, 3.09)]
    public void A_value_so_many_uncertainties_inside_one_limit_conforms_so_probably(double probability, double z)
    {
        Assert.Equal(probability, Conformance.Probability(new ToleranceInterval(null, 10), 10 - (z * 0.3), 0.3), 0.0015);
        Assert.Equal(probability, Conformance.Probability(new ToleranceInterval(10, null), 10 + (z * 0.3), 0.3), 0.0015);
    }

    [Fact]
    public void The_examples_of_JCGM_106_have_their_probability()
    {
        // From memory. 7.3.3 example 1, breakdown voltage with an upper limit; example 2, burst strength with a lower one.
        Assert.Equal(0.92, Conformance.Probability(new ToleranceInterval(null, -5.40), -5.47, 0.05), 0.005);
        Assert.Equal(0.919243, Conformance.Probability(new ToleranceInterval(null, -5.40), -5.47, 0.05), 1e-6);
        Assert.Equal(0.99, Conformance.Probability(new ToleranceInterval(490, null), 509.7, 8.6), 0.005);
        Assert.Equal(0.989010, Conformance.Probability(new ToleranceInterval(490, null), 509.7, 8.6), 1e-6);

        // 8.3.3.2 example 1: a speed limit of 100 km/h, 2 % relative uncertainty, 99.9 %: from 107 km/h on.
        double limit = 100 / (1 - (3.0902 * 0.02));
        Assert.Equal(106.588, limit, 0.001);
        Assert.Equal(0.999, 1 - Conformance.Probability(new ToleranceInterval(null, 100), limit, 0.02 * limit), 1e-5);
    }

    [Theory]
    // ILAC-G8:09/2019 table 1, from memory: guard band in U, and the worst specific risk, with k = 2 and one limit.
    [InlineData(0, 0.5)]
    [InlineData(1, 0.022750)]
    [InlineData(0.83, 0.048457)]
    [InlineData(1.5, 0.001350)]
    [InlineData(3, 9.9e-10)]
    public void A_guard_band_limits_the_specific_risk(double multiple, double risk)
    {
        ToleranceInterval tolerance = new(null, 50);
        DecisionRule.KeepAway rule = new(multiple);
        double limit = tolerance.Guarded(rule.GuardBand(tolerance, 0.4, 0.8)).Upper!.Value;
        ToleranceDecision atTheLimit = ToleranceDecision.Of(rule, tolerance, limit, 0.4, 0.8);

        Assert.Equal(50 - (multiple * 0.8), limit, 1e-12);
        Assert.Equal(DecisionZone.Pass, atTheLimit.Zone);
        Assert.Equal(1, atTheLimit.RiskOfBeingWrong / risk, 0.005);
    }

    [Fact]
    public void What_is_not_shown_to_be_outside_is_accepted_by_a_negative_guard_band()
    {
        // ILAC-G8 table 1, from memory: w = −U, a reject is wrong with less than 2.5 %.
        ToleranceDecision reject = ToleranceDecision.Of(new DecisionRule.KeepAway(-1), new ToleranceInterval(null, 50), 50.8001, 0.4, 0.8);

        Assert.Equal(DecisionZone.Fail, reject.Zone);
        Assert.Equal(0.02275, reject.RiskOfBeingWrong, 0.0001);
        Assert.Equal(DecisionZone.Pass, ToleranceDecision.Of(new DecisionRule.KeepAway(-1), new ToleranceInterval(null, 50), 50.7, 0.4, 0.8).Zone);
    }

    [Theory]
    // ILAC-G8:09/2019 4.2.3 with T = 10, w = 2; a boundary belongs to the zone nearer to conformity.
    [InlineData(7.9, DecisionZone.Pass)]
    [InlineData(8.0, DecisionZone.Pass)]
    [InlineData(8.1, DecisionZone.ConditionalPass)]
    [InlineData(10.0, DecisionZone.ConditionalPass)]
    [InlineData(10.1, DecisionZone.ConditionalFail)]
    [InlineData(12.0, DecisionZone.ConditionalFail)]
    [InlineData(12.1, DecisionZone.Fail)]
    [InlineData(-8.0, DecisionZone.Pass)]
    [InlineData(-10.0, DecisionZone.ConditionalPass)]
    [InlineData(-12.1, DecisionZone.Fail)]
    public void Four_zones_lie_about_the_limit(double value, DecisionZone zone) =>
        Assert.Equal(zone, ToleranceDecision.Of(new DecisionRule.FourZones(), ToleranceInterval.Around0(10), value, 1, 2).Zone);

    [Fact]
    public void The_risk_asked_for_of_this_device_is_met_at_its_limit() =>
        Gen.Select(Gen.Double[0.01, 0.2], Gen.Double[0.05, 0.6]).Sample((risk, u) =>
        {
            ToleranceInterval tolerance = ToleranceInterval.Around0(1);
            DecisionRule.RiskOfThisDevice rule = new(risk);
            double guardBand = rule.GuardBand(tolerance, u, 2 * u);
            if (double.IsInfinity(guardBand))
            {
                // Not even the middle is safe enough, so nothing is accepted.
                Assert.True(Conformance.NonconformanceProbability(tolerance, 0, u) > risk);
                Assert.Equal(DecisionZone.Fail, ToleranceDecision.Of(rule, tolerance, 0, u, 2 * u).Zone);
            }
            else
            {
                Assert.Equal(risk, Conformance.NonconformanceProbability(tolerance, 1 - guardBand, u), 1e-9);
            }
        });

    [Fact]
    public void The_unit_changes_no_decision() =>
        Gen.Select(Gen.Int[-13, 13], Gen.Int[0, PressureUnit.All.Count - 1], Gen.Int[0, 3]).Sample((value, index, which) =>
        {
            DecisionRule rule = new DecisionRule[] { new DecisionRule.PlainLimit(), new DecisionRule.KeepAway(), new DecisionRule.FourZones(), new DecisionRule.KeepAway(-1) }[which];
            double there = 1 / PressureUnit.All[index].PascalsAsDouble;
            // All boundaries are met exactly: T = 10, U = 3, values in whole numbers.
            ToleranceDecision inPascals = ToleranceDecision.Of(rule, ToleranceInterval.Around0(10), value, 1.5, 3);
            ToleranceDecision inUnit = ToleranceDecision.Of(rule, ToleranceInterval.Around0(10 * there), value * there, 1.5 * there, 3 * there);
            Assert.Equal(inPascals.Zone, inUnit.Zone);
            Assert.Equal(inPascals.ConformanceProbability, inUnit.ConformanceProbability, 1e-9);
        });

    [Fact]
    public void What_was_known_before_pulls_the_estimate_by_its_weight()
    {
        NormalPrior equal = Conformance.Posterior(new NormalPrior(10, 2), 14, 2);

        Assert.Equal(12, equal.Mean, 1e-12);
        Assert.Equal(Math.Sqrt(2), equal.Deviation, 1e-12);
    }
}
