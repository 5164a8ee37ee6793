using Barostep.Evaluation.Corrections;

namespace Barostep.Tests.Evaluation.Corrections;

public sealed class MoistAirTests
{
    private const double MillimetreMercury = 133.322387415;

    [Theory]
    // A textbook of mass metrology, appendix, page 205.
    [InlineData(10, 730 * MillimetreMercury, 0.40, 1.19569, 6e-6)]
    // Outside the formula's range of temperature, and by older constants.
    [InlineData(40, 760 * MillimetreMercury, 0.40, 1.11497, 1e-4)]
    [InlineData(15, 101325, 0, 1.22552, 6e-6)]
    // Own arithmetic, no published value.
    [InlineData(20, 101325, 0.5, 1.199314, 6e-7)]
    [InlineData(20, 101325, 0, 1.204557, 6e-7)]
    public void Density_is_that_of_CIPM_2007(double celsius, double pascals, double humidity, double density, double within) =>
        Assert.Equal(density, MoistAir.Density(pascals, celsius, humidity), within);

    [Fact]
    public void Its_parts_have_their_published_values()
    {
        Assert.Equal(2339.16, MoistAir.SaturationPressure(20), 0.01);
        Assert.Equal(611.21, MoistAir.SaturationPressure(0), 0.01);
        Assert.Equal(0.999643, MoistAir.Compressibility(101325, 20, 0), 6e-7);
    }

    [Fact]
    public void More_carbon_dioxide_makes_heavier_air() =>
        Assert.True(MoistAir.Density(101325, 20, 0.5, 0.001) > MoistAir.Density(101325, 20, 0.5));
}
