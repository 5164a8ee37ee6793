namespace Barostep.Evaluation.Corrections;

/// <summary>A gas that carries the pressure from the reference to the device.</summary>
/// <param name="MolarMass">kg/mol.</param>
public sealed record HeadGas(string Name, double MolarMass)
{
    private const double MolarGasConstant = 8.31446261815324;

    /// <summary>Dry air, 28.965 46 g/mol (CIPM-2007).</summary>
    public static readonly HeadGas Air = new("air", 28.96546e-3);

    /// <summary>Nitrogen, 28.0134 g/mol (IUPAC atomic weight of nitrogen, 14.0067).</summary>
    public static readonly HeadGas Nitrogen = new("nitrogen", 28.0134e-3);

    /// <summary>Argon, helium and carbon dioxide: 39.948, 4.0026 and 44.0095 g/mol (IUPAC atomic weights).</summary>
    public static readonly HeadGas Argon = new("argon", 39.948e-3);

    public static readonly HeadGas Helium = new("helium", 4.0026e-3);

    public static readonly HeadGas CarbonDioxide = new("carbon dioxide", 44.0095e-3);

    /// <summary>The gas of that name, or null where it is none of these.</summary>
    public static HeadGas? Find(string name) =>
        new[] { Air, Nitrogen, Argon, Helium, CarbonDioxide }.FirstOrDefault(gas => gas.Name == name);

    /// <summary>Density in kg/m³, ρ = p·M/(Z·R·T).</summary>
    /// <param name="pascals">Absolute pressure, Pa.</param>
    /// <param name="kelvin">Temperature, K.</param>
    /// <param name="compressibility">Z; 1 for the ideal gas, which air and nitrogen leave by less than 1 % up to 20 bar at 20 °C.</param>
    public double Density(double pascals, double kelvin, double compressibility = 1) =>
        pascals * MolarMass / (compressibility * MolarGasConstant * kelvin);
}

/// <summary>The pressure of the fluid column between the reference levels of reference and device.</summary>
/// <remarks>
/// p at the device = p at the reference + (ρ_fluid − ρ_air)·g·Δh, with Δh positive where the reference stands higher.
/// The air outside counts for gauge pressure only: for absolute pressure its density is 0.
/// </remarks>
public static class HeadCorrection
{
    /// <summary>What is to be added to the reference's pressure, Pa.</summary>
    /// <param name="fluidDensity">kg/m³.</param>
    /// <param name="airDensity">kg/m³; 0 for absolute pressure.</param>
    /// <param name="gravity">m/s².</param>
    /// <param name="referenceAboveDevice">Height of the reference's level above the device's, m.</param>
    public static double Pascals(double fluidDensity, double airDensity, double gravity, double referenceAboveDevice) =>
        (fluidDensity - airDensity) * gravity * referenceAboveDevice;
}
