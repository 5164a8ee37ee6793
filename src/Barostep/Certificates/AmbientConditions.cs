namespace Barostep.Certificates;

/// <summary>What a quantity did during the work.</summary>
/// <param name="Minimum">In the unit that the property holding it names.</param>
public sealed record AmbientRange(double Minimum, double Maximum, double Mean);

/// <summary>The conditions under which the work was done; each is null where it was not recorded.</summary>
/// <param name="TemperatureKelvin">Air temperature, K.</param>
/// <param name="HumidityShare">Relative humidity, 0 to 1.</param>
/// <param name="BarometerPascals">Barometric pressure, Pa absolute.</param>
public sealed record AmbientConditions(AmbientRange? TemperatureKelvin, AmbientRange? HumidityShare, AmbientRange? BarometerPascals)
{
    public static readonly AmbientConditions NotRecorded = new(null, null, null);

    /// <summary>What told them, or who read them; null where that was not recorded.</summary>
    public string? ToldBy { get; init; }

    public bool IsComplete => TemperatureKelvin is not null && HumidityShare is not null && BarometerPascals is not null;
}
