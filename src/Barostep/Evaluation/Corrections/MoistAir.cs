namespace Barostep.Evaluation.Corrections;

/// <summary>Density of moist air by CIPM-2007 (A. Picard et al., Metrologia 45 (2008) 149).</summary>
/// <remarks>Recommended for 600 hPa to 1100 hPa and 15 °C to 27 °C; its own relative uncertainty there is 22e-6.</remarks>
public static class MoistAir
{
    private const double MolarGasConstant = 8.314472;
    private const double MolarMassOfWater = 18.01528e-3;
    private const double ZeroCelsius = 273.15;

    /// <summary>Mole fraction of carbon dioxide that the formula takes where none is measured.</summary>
    public const double UsualCarbonDioxide = 0.0004;

    /// <summary>Density in kg/m³.</summary>
    /// <param name="pascals">Absolute pressure, Pa.</param>
    /// <param name="celsius">Temperature, °C.</param>
    /// <param name="relativeHumidity">0 to 1.</param>
    /// <param name="carbonDioxide">Mole fraction.</param>
    public static double Density(double pascals, double celsius, double relativeHumidity, double carbonDioxide = UsualCarbonDioxide)
    {
        double kelvin = celsius + ZeroCelsius;
        double vapour = VapourFraction(pascals, celsius, relativeHumidity);
        double dryMolarMass = (28.96546 + (12.011 * (carbonDioxide - UsualCarbonDioxide))) * 1e-3;
        double z = Compressibility(pascals, celsius, vapour);
        return pascals * dryMolarMass / (z * MolarGasConstant * kelvin) * (1 - (vapour * (1 - (MolarMassOfWater / dryMolarMass))));
    }

    /// <summary>Saturation vapour pressure of water in Pa.</summary>
    public static double SaturationPressure(double celsius)
    {
        double kelvin = celsius + ZeroCelsius;
        return Math.Exp((1.2378847e-5 * kelvin * kelvin) - (1.9121316e-2 * kelvin) + 33.93711047 - (6.3431645e3 / kelvin));
    }

    /// <summary>Mole fraction of water vapour.</summary>
    public static double VapourFraction(double pascals, double celsius, double relativeHumidity)
    {
        double enhancement = 1.00062 + (3.14e-8 * pascals) + (5.6e-7 * celsius * celsius);
        return relativeHumidity * enhancement * SaturationPressure(celsius) / pascals;
    }

    /// <summary>Compressibility factor Z.</summary>
    public static double Compressibility(double pascals, double celsius, double vapourFraction)
    {
        double x = vapourFraction;
        double t = celsius;
        double ratio = pascals / (celsius + ZeroCelsius);
        double first = 1.58123e-6 + (-2.9331e-8 * t) + (1.1043e-10 * t * t)
            + ((5.707e-6 + (-2.051e-8 * t)) * x)
            + ((1.9898e-4 + (-2.376e-6 * t)) * x * x);
        double second = 1.83e-11 + (-0.765e-8 * x * x);
        return 1 - (ratio * first) + (ratio * ratio * second);
    }
}
