using Barostep.Evaluation.Uncertainty;
using CsCheck;

namespace Barostep.Tests.Evaluation.Uncertainty;

public sealed class PressurePointTests
{
    private static readonly PressurePoint _point = new()
    {
        Indication = 1_000_400,
        Reference = 1_000_000,
        ReferenceExpanded = 100,
        ReferenceDrift = 60,
        ReferenceResolution = 10,
        Head = 3,
        Temperature = 20,
        Multimeter = 250,
        DeviceResolution = 100,
        ZeroDeviation = 50,
        Repeatability = 120,
        Hysteresis = 300,
        Stability = 30,
        Samples = 10,
    };

    [Fact]
    public void The_error_has_every_contribution_that_is_known()
    {
        UncertaintyBudget budget = _point.Model().Budget();
        double variance = (50 * 50) + (60 * 60 / 3.0) + (10 * 10 / 12.0) + 9 + (20 * 20 / 3.0) + (250 * 250 / 3.0)
            + (((100 * 100) + (50 * 50) + (120 * 120) + (300 * 300)) / 12.0) + (30 * 30 / 10.0);

        Assert.Equal(400, _point.Model().Value);
        Assert.Equal(11, budget.Inputs.Count);
        Assert.Equal(Math.Sqrt(variance), budget.Combined, 1e-9);
        Assert.True(budget.EffectiveDegreesOfFreedom > 1000);
    }

    [Fact]
    public void What_is_not_known_makes_no_line()
    {
        PressurePoint bare = new() { Indication = 10, Reference = 9, ReferenceExpanded = 2 };

        Assert.Equal(1, bare.Model().Budget().Combined, 1e-12);
        Assert.Equal(2, bare.Model().Inputs.Count);
    }

    [Fact]
    public void Monte_Carlo_agrees_with_the_budget_of_a_point()
    {
        MeasurementModel model = _point.Model();
        MonteCarloResult found = MonteCarlo.Propagate(model, new MonteCarloOptions(SignificantDigits: 1));

        Assert.Equal(400, found.Mean, 5.0);
        Assert.Equal(1, found.StandardUncertainty / model.Budget().Combined, 0.02);
        Assert.True(found.IsStable);
    }

    [Fact]
    public void Another_unit_scales_the_budget_and_keeps_its_degrees_of_freedom() =>
        Gen.Double[1e-6, 1e6].Sample(factor =>
        {
            UncertaintyBudget pascals = _point.Model().Budget();
            UncertaintyBudget other = (_point with
            {
                ReferenceExpanded = _point.ReferenceExpanded * factor,
                ReferenceDrift = _point.ReferenceDrift * factor,
                ReferenceResolution = _point.ReferenceResolution * factor,
                Head = _point.Head * factor,
                Temperature = _point.Temperature * factor,
                Multimeter = _point.Multimeter * factor,
                DeviceResolution = _point.DeviceResolution * factor,
                ZeroDeviation = _point.ZeroDeviation * factor,
                Repeatability = _point.Repeatability * factor,
                Hysteresis = _point.Hysteresis * factor,
                Stability = _point.Stability * factor,
            }).Model().Budget();
            Assert.Equal(factor, other.Combined / pascals.Combined, 1e-9 * factor);
            Assert.Equal(1, other.EffectiveDegreesOfFreedom / pascals.EffectiveDegreesOfFreedom, 1e-9);
        });
}
