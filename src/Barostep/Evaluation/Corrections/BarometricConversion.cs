namespace Barostep.Evaluation.Corrections;

/// <summary>Between gauge and absolute pressure through the atmosphere at the device.</summary>
/// <remarks>absolute = gauge + atmosphere, the atmosphere read by a barometer and brought to the device's level.</remarks>
public static class BarometricConversion
{
    public static double ToAbsolute(double gaugePascals, double atmospherePascals) => gaugePascals + atmospherePascals;

    public static double ToGauge(double absolutePascals, double atmospherePascals) => absolutePascals - atmospherePascals;

    /// <summary>The atmosphere at the device from a barometer that stands higher or lower: plus ρ_air·g·Δh.</summary>
    /// <param name="barometerAboveDevice">Height of the barometer above the device, m.</param>
    public static double AtmosphereAtDevice(double barometerPascals, double airDensity, double gravity, double barometerAboveDevice) =>
        barometerPascals + (airDensity * gravity * barometerAboveDevice);
}
