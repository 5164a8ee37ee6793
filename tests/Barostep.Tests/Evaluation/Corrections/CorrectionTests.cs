using Barostep.Evaluation.Corrections;
using Barostep.Evaluation.Uncertainty;
using Barostep.Safety;
using CsCheck;

namespace Barostep.Tests.Evaluation.Corrections;

public sealed class CorrectionTests
{
    private static readonly ReferenceCalibration _certificate = new(
        new CorrectionCurve.Offset(-20), 50, 0.0001, 2, 36.525, new DateOnly(2026, 1, 15), new DateOnly(2027, 1, 15));

    [Theory]
    // Own arithmetic, no published example found: dry air, oil and water columns.
    [InlineData(1.2046, 0, 1, 11.81, 0.005)]
    [InlineData(914, 0, 0.5, 4481.6, 0.05)]
    [InlineData(998.207, 0, 1, 9789.1, 0.05)]
    [InlineData(998.207, 1.2046, -1, -9777.3, 0.05)]
    public void A_column_of_fluid_weighs_its_head(double fluid, double air, double height, double pascals, double within) =>
        Assert.Equal(pascals, HeadCorrection.Pascals(fluid, air, LocalGravity.Standard, height), within);

    [Fact]
    public void A_column_of_gas_weighs_more_the_higher_its_pressure()
    {
        // Own arithmetic with R = 287.05 J/(kg·K): 1.1654e-4 of the pressure per metre of air at 20 °C.
        double density = HeadGas.Air.Density(1e6, 293.15);
        Assert.Equal(1.1654e-4, HeadCorrection.Pascals(density, 0, LocalGravity.Standard, 1) / 1e6, 2e-8);
        Assert.Equal(density / 0.99, HeadGas.Air.Density(1e6, 293.15, 0.99), 1e-9);
        // CIPM-2007 has a Z of 0.99964 for dry air at 20 °C and 1 atm.
        Assert.Equal(MoistAir.Density(101325, 20, 0), HeadGas.Air.Density(101325, 293.15, 0.999643), 2e-6);
        Assert.True(HeadGas.Nitrogen.Density(1e6, 293.15) < density);
    }

    [Fact]
    public void Gauge_and_absolute_differ_by_the_atmosphere_at_the_device()
    {
        double atmosphere = BarometricConversion.AtmosphereAtDevice(99_000, 1.2, 9.81, 10);

        Assert.Equal(99_117.72, atmosphere, 0.01);
        Assert.Equal(500_000, BarometricConversion.ToGauge(BarometricConversion.ToAbsolute(500_000, atmosphere), atmosphere), 1e-9);
    }

    [Fact]
    public void Corrections_are_added_to_the_indication()
    {
        Assert.Equal(101, new CorrectionCurve.Offset(1).Corrected(100), 1e-12);
        Assert.Equal(100.3, new CorrectionCurve.Gain(1.002, 0.1).Corrected(100), 1e-12);
        Assert.Equal(100 + 1 - 2 + 0.3, new CorrectionCurve.Polynomial([1, -0.02, 3e-5]).Corrected(100), 1e-12);
    }

    [Theory]
    [InlineData(-5, 1)]
    [InlineData(0, 1)]
    [InlineData(5, 2)]
    [InlineData(10, 3)]
    [InlineData(15, 2)]
    [InlineData(20, 1)]
    [InlineData(25, 1)]
    public void A_table_is_straight_between_its_points_and_level_beyond(double indication, double correction)
    {
        CorrectionCurve.Table table = new([(0, 1), (10, 3), (20, 1)]);

        Assert.Equal(correction, table.At(indication), 1e-12);
        Assert.Equal(indication is >= 0 and <= 20, table.Covers(indication));
    }

    [Fact]
    public void Rejects_a_table_that_does_not_rise()
    {
        Assert.Contains("point 3", Assert.Throws<ArgumentException>(() => new CorrectionCurve.Table([(0, 1), (10, 3), (10, 1)])).Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => new CorrectionCurve.Table([]));
    }

    [Fact]
    public void A_certificate_gives_its_correction_its_uncertainty_and_its_drift()
    {
        IReadOnlyList<UncertaintyInput> inputs = _certificate.Inputs("reference", 1_000_000, new DateOnly(2026, 1, 25), -1);

        Assert.Equal(999_980, inputs[0].Estimate);
        Assert.Equal((50 + 100) / 2.0, inputs[0].StandardUncertainty, 1e-9);
        // 36.525 Pa a year are 1 Pa in ten days.
        Assert.Equal(1 / Math.Sqrt(3), inputs[1].StandardUncertainty, 1e-9);
        Assert.All(inputs, input => Assert.Equal(-1, input.Sensitivity));
        Assert.Equal(0, _certificate.Drift(new DateOnly(2025, 1, 1)));
    }

    [Fact]
    public void A_calibration_holds_to_the_end_of_its_due_day()
    {
        Assert.False(_certificate.IsOverdue(new DateOnly(2027, 1, 15)));
        Assert.True(_certificate.IsOverdue(new DateOnly(2027, 1, 16)));
        Assert.False((_certificate with { DueOn = null }).IsOverdue(new DateOnly(2099, 1, 1)));
    }

    [Fact]
    public void A_current_is_read_over_a_shunt_at_its_temperature()
    {
        ShuntResistor shunt = new(250, 10e-6);

        Assert.Equal(0.020, new ShuntResistor(250).Amperes(5), 1e-15);
        Assert.Equal(250.025, shunt.Ohms(30), 1e-9);
        Assert.Equal(5 / 250.025, shunt.Amperes(5, 30), 1e-15);
    }

    [Fact]
    public void A_data_sheet_gives_a_rectangular_input()
    {
        UncertaintyInput input = new MultimeterSpecification(0.0002, 0.00004, 0.1).Input("multimeter", -0.02, 1e8);

        Assert.Equal(8e-6 / Math.Sqrt(3), input.StandardUncertainty, 1e-15);
        Assert.Equal(Distribution.Rectangular, input.Distribution);
    }

    [Fact]
    public void Every_unit_is_the_exact_one_and_agrees_with_its_printed_factor()
    {
        // NIST SP 811 (2008), appendix B.8, with half of the last printed digit.
        (PressureUnit Unit, double Printed, double Within)[] printed =
        [
            (PressureUnit.StandardAtmosphere, 1.01325e5, 0), (PressureUnit.TechnicalAtmosphere, 9.80665e4, 0), (PressureUnit.Bar, 1e5, 0),
            (PressureUnit.Millibar, 1e2, 0), (PressureUnit.Psi, 6.894757e3, 0.0005), (PressureUnit.Torr, 1.333224e2, 0.00005),
            (PressureUnit.MillimetreMercury, 1.333224e2, 0.00005), (PressureUnit.InchMercury, 3.386389e3, 0.0005),
            (PressureUnit.MillimetreWater, 9.80665, 0), (PressureUnit.InchWater, 2.490889e2, 0.00005),
        ];
        foreach ((PressureUnit unit, double factor, double within) in printed)
            Assert.Equal(factor, unit.PascalsAsDouble, within);
        // Two that the printed digits do not tell apart.
        Assert.Equal(1.4244e-7, (PressureUnit.MillimetreMercury.PascalsAsDouble / PressureUnit.Torr.PascalsAsDouble) - 1, 1e-10);
    }
}
