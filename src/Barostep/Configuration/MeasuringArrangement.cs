using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>The gas column between the reference levels of reference and device.</summary>
/// <param name="Gas">By its name, as the bench's gas path has it.</param>
/// <param name="ReferenceAboveDeviceMetres">Height of the reference's level above the device's; negative below it.</param>
/// <param name="HeightUncertaintyMetres">Standard uncertainty of it.</param>
/// <param name="Gravity">m/s².</param>
/// <param name="GravityUncertainty">Standard uncertainty of it, m/s².</param>
/// <param name="GravitySource">Where the value is from, in words.</param>
public sealed record HeadColumn(
    string Gas,
    double ReferenceAboveDeviceMetres,
    double HeightUncertaintyMetres,
    double Gravity,
    double GravityUncertainty,
    string GravitySource);

/// <summary>The barometer at a bench.</summary>
/// <param name="Identity">Which one, with its certificate.</param>
/// <param name="StandardUncertaintyPascals">Of what it tells.</param>
/// <param name="AboveDeviceMetres">Height of it above the device.</param>
public sealed record BenchBarometer(string Identity, double StandardUncertaintyPascals, double AboveDeviceMetres);

/// <summary>The resistor over which the multimeter reads a loop current as a voltage.</summary>
/// <param name="Identity">Which one, with its certificate.</param>
/// <param name="OhmsAt20">At 20 °C.</param>
/// <param name="StandardUncertaintyOhms">Of that.</param>
/// <param name="PerKelvin">Temperature coefficient, 1/K.</param>
public sealed record BenchShunt(string Identity, double OhmsAt20, double StandardUncertaintyOhms, double PerKelvin);

/// <summary>Another device's run on the same pressure.</summary>
public sealed record SharedRun(string Device, string Run);

/// <summary>What stands between the readings of a bench and the pressure at the device; kept with each run's record.</summary>
public sealed record MeasuringArrangement
{
    /// <summary>Nothing is known of any of it, and nothing is corrected.</summary>
    public static readonly MeasuringArrangement Unknown = new();

    /// <summary>What the reference's own readings count from; null: from the same as the device's.</summary>
    public PressureReference? ReferenceTells { get; init; }

    /// <summary>Smallest step that the reference tells, Pa; 0 where not stated.</summary>
    public double ReferenceResolutionPascals { get; init; }

    /// <summary>By how much what the reference tells is behind the pressure, s: its sensor, its tubing and the age of its sample.</summary>
    public double ReferenceLagSeconds { get; init; }

    /// <summary>The other runs that were made on the same pressure, one for each device beside this one: its name and its run; empty for a device by itself.</summary>
    public IReadOnlyList<SharedRun> SharedWith { get; init; } = [];

    /// <summary>Null: both stand at one level, or nobody said otherwise.</summary>
    public HeadColumn? Head { get; init; }

    /// <summary>Null where the atmosphere is the one that the bench's file states.</summary>
    public BenchBarometer? Barometer { get; init; }

    /// <summary>Null where the multimeter reads the current itself.</summary>
    public BenchShunt? Shunt { get; init; }
}
