using Barostep.Evaluation.Uncertainty;

namespace Barostep.Evaluation.Corrections;

/// <summary>What a data sheet promises of a multimeter: ± (share of reading + share of range).</summary>
public sealed record MultimeterSpecification(double OfReading, double OfRange, double Range)
{
    /// <summary>Half-width of the permitted error at a reading, in its unit.</summary>
    public double HalfWidth(double reading) => (OfReading * Math.Abs(reading)) + (OfRange * Range);

    /// <summary>As a rectangular line of a budget (GUM 4.3.7).</summary>
    public UncertaintyInput Input(string name, double reading, double sensitivity) =>
        UncertaintyInput.FromLimits(name, 0, HalfWidth(reading), sensitivity, Distribution.Rectangular);
}

/// <summary>A shunt resistor through which a loop current is read as a voltage: I = V/R, with R = R₂₀·(1 + α·(t − 20 °C)).</summary>
/// <param name="OhmsAt20">From its certificate.</param>
/// <param name="PerKelvin">Temperature coefficient α, 1/K.</param>
public sealed record ShuntResistor(double OhmsAt20, double PerKelvin = 0)
{
    private const double ReferenceCelsius = 20;

    public double Ohms(double celsius) => OhmsAt20 * (1 + (PerKelvin * (celsius - ReferenceCelsius)));

    /// <summary>The current in A.</summary>
    /// <param name="volts">Voltage across it, V.</param>
    /// <param name="celsius">Its temperature, °C.</param>
    public double Amperes(double volts, double celsius = ReferenceCelsius) => volts / Ohms(celsius);
}
