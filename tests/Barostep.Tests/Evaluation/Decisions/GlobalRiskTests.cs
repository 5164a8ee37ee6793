using Barostep.Evaluation.Decisions;
using CsCheck;

namespace Barostep.Tests.Evaluation.Decisions;

public sealed class GlobalRiskTests
{
    [Theory]
    // D. Deaver, How to maintain your confidence, pages 7 and 10: tolerance in process deviations, measurement deviation,
    // acceptance factor, then false accepts and rejects in per cent as printed, with half of the last digit and what a
    // second manual gives.
    [InlineData(2, 0.25, 1, 0.8, 1.5)]
    [InlineData(2.5, 0.25, 1, 0.25, null)]
    [InlineData(2.5, 1, 1, 0.5, null)]
    [InlineData(2, 0.5, 0.91, 0.8, 6.6)]
    public void The_risks_of_Deaver_come_out(double tolerance, double measurement, double factor, double falseAccept, double? falseReject)
    {
        GlobalRisk risk = GlobalRisk.Of(new NormalPrior(0, 1), measurement, ToleranceInterval.Around0(tolerance), ToleranceInterval.Around0(factor * tolerance));

        Assert.Equal(falseAccept, risk.FalseAccept * 100, 0.05);
        if (falseReject is { } reject)
            Assert.Equal(reject, risk.FalseReject * 100, 0.05);
    }

    [Theory]
    // Own arithmetic by double quadrature at 40 digits, no published values.
    [InlineData(0.12, 0.04, 0.20, 0.20, 0.018942, 0.037208, 0.095581)]
    [InlineData(0.12, 0.04, 0.20, 0.16, 0.004334, 0.114657, 0.095581)]
    [InlineData(1, 0.25, 2, 2, 0.0080061, 0.014851, 0.0455)]
    public void The_quadrature_is_good_to_its_digits(double prior, double u, double tolerance, double acceptance, double falseAccept, double falseReject, double outside)
    {
        GlobalRisk risk = GlobalRisk.Of(new NormalPrior(0, prior), u, ToleranceInterval.Around0(tolerance), ToleranceInterval.Around0(acceptance));

        Assert.Equal(falseAccept, risk.FalseAccept, 6e-7);
        Assert.Equal(falseReject, risk.FalseReject, 6e-7);
        Assert.Equal(outside, risk.Nonconforming, 6e-6);
    }

    [Theory]
    // Nonconforming share of a process N(mean, 0.4) within 9 … 11, from a public test of the same figures.
    [InlineData(10, 0.01242)]
    [InlineData(10.5, 0.10574)]
    [InlineData(12, 0.99379)]
    public void A_process_has_its_share_outside(double mean, double outside) =>
        Assert.Equal(outside, GlobalRisk.Of(new NormalPrior(mean, 0.4), 0.1, new ToleranceInterval(9, 11), new ToleranceInterval(9, 11)).Nonconforming, 6e-6);

    [Fact]
    public void A_ratio_of_four_is_no_ratio_of_deviations()
    {
        // Own arithmetic: U = T/4 with k = 2, 95 % of the devices in tolerance.
        GlobalRisk risk = GlobalRisk.Of(new NormalPrior(0, 1 / 1.959964), 0.125, ToleranceInterval.Around0(1), ToleranceInterval.Around0(1));

        Assert.Equal(0.00858, risk.FalseAccept, 5e-6);
        Assert.Equal(0.01554, risk.FalseReject, 5e-6);
        Assert.Equal(4, Conformance.TestUncertaintyRatio(ToleranceInterval.Around0(1), 0.25));
    }

    [Fact]
    public void A_guard_band_meets_the_share_asked_for_and_is_no_wider()
    {
        Gen.Select(Gen.Double[0.3, 1], Gen.Double[0.02, 0.5], Gen.Double[0.001, 0.02]).Sample((prior, u, most) =>
        {
            ToleranceInterval tolerance = ToleranceInterval.Around0(1);
            NormalPrior before = new(0, prior);
            double guardBand = new DecisionRule.RiskOfAllDevices(most, before).GuardBand(tolerance, u, 2 * u);
            double risk = GlobalRisk.Of(before, u, tolerance, tolerance.Guarded(guardBand)).FalseAccept;
            Assert.True(risk <= most);
            if (guardBand > 0)
                Assert.Equal(most, risk, 1e-8);
        }, iter: 30);
    }

    [Theory]
    // A/T by the test uncertainty ratio; figures of a public test suite.
    [InlineData(1.5, 0.74536, 0.33333, 0.58333, 0.75988)]
    [InlineData(2, 0.86603, 0.5, 0.75, 0.85918)]
    [InlineData(3, 0.94281, 0.66667, 0.91667, 0.94823)]
    [InlineData(4, 0.96825, 0.75, 1.0, 0.98672)]
    public void The_shortcuts_have_their_factors(double ratio, double squares, double whole, double stepless, double twoPercent)
    {
        Assert.Equal(squares, GuardBandFactor.RootSumSquare(ratio), 5e-6);
        Assert.Equal(whole, GuardBandFactor.WholeUncertainty(ratio), 5e-6);
        Assert.Equal(stepless, GuardBandFactor.Stepless(ratio), 5e-6);
        Assert.Equal(twoPercent, GuardBandFactor.TwoPercentRisk(ratio), 5e-6);
    }
}
