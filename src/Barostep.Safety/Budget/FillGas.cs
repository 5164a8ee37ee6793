namespace Barostep.Safety;

/// <summary>A gas that may fill the bench, and how much faster than air it fills through one restrictor.</summary>
/// <remarks>
/// Ideal critical nozzle: mass flow goes with √(1/R)·ψ(κ), ψ = √κ·(2/(κ+1))^((κ+1)/(2(κ−1))), and the rate of pressure with
/// κ·R times that. Relative to air this gives 1.017 for nitrogen, 1.075 for argon, 0.73 for carbon dioxide, 3.40 for helium.
/// </remarks>
public sealed record FillGas
{
    /// <summary>Density, specific gas constant and temperature of ISO 8778's reference atmosphere, by which C is defined.</summary>
    public const double ReferenceDensity = 1.185;
    public const double ReferenceTemperatureKelvin = 293.15;
    public const double AirGasConstant = 287.05;
    public const double AirHeatRatio = 1.4;

    /// <summary>ρ₀·R·T₀ in Pa, about 99.7 kPa: turns a conductance into a volume rate.</summary>
    public const double ReferencePascals = ReferenceDensity * AirGasConstant * ReferenceTemperatureKelvin;

    /// <summary>The gases that may be named.</summary>
    public static readonly IReadOnlyList<FillGas> All =
    [
        new("air", 1.4, AirGasConstant),
        new("nitrogen", 1.4, 296.8),
        new("argon", 5.0 / 3.0, 208.13),
        new("carbon dioxide", 1.3, 188.92),
        new("helium", 5.0 / 3.0, 2077.1),
    ];

    private static readonly string[] Refused =
        ["oxygen", "hydrogen", "methane", "natural gas", "propane", "butane", "acetylene", "ethylene", "carbon monoxide", "forming gas"];

    private FillGas(string name, double heatRatio, double gasConstant)
    {
        Name = name;
        HeatRatio = heatRatio;
        FlowFactor = Math.Sqrt(AirGasConstant / gasConstant) * CriticalFlow(heatRatio) / CriticalFlow(AirHeatRatio);
        VolumeFactor = gasConstant / AirGasConstant * FlowFactor;
        RateFactor = heatRatio / AirHeatRatio * VolumeFactor;
    }

    public string Name { get; }

    /// <summary>κ.</summary>
    public double HeatRatio { get; }

    /// <summary>Critical mass flow relative to air.</summary>
    public double FlowFactor { get; }

    /// <summary>Rate of pressure at constant temperature, relative to air.</summary>
    public double VolumeFactor { get; }

    /// <summary>Rate of pressure without heat exchange, relative to air: the F of the budget.</summary>
    public double RateFactor { get; }

    /// <summary>The gas of that name, or null with the reason in <paramref name="problem"/>.</summary>
    public static FillGas? Find(string name, out string problem)
    {
        problem = "";
        foreach (FillGas gas in All)
        {
            if (string.Equals(gas.Name, name, StringComparison.Ordinal))
                return gas;
        }

        string permitted = string.Join(", ", All.Select(gas => gas.Name));
        problem = Refused.Contains(name, StringComparer.OrdinalIgnoreCase)
            ? $"gas \"{name}\" is refused: oxygen and flammable gases can ignite when compressed; use one of {permitted}"
            : $"gas \"{name}\" is unknown, and its fill rate with it; write one of {permitted}";
        return null;
    }

    /// <summary>ψ(κ): mass flow of an ideal critical nozzle in units of A·p/√(R·T).</summary>
    internal static double CriticalFlow(double heatRatio) =>
        Math.Sqrt(heatRatio) * Math.Pow(2 / (heatRatio + 1), (heatRatio + 1) / (2 * (heatRatio - 1)));
}
