namespace Barostep.Configuration;

/// <summary>The air of a room that is kept, or was read before a run; each is null where it is not known.</summary>
/// <param name="TemperatureCelsius">°C.</param>
/// <param name="RelativeHumidity">0 to 1.</param>
/// <param name="AtmospherePascals">Absolute.</param>
public sealed record RoomClimate(double? TemperatureCelsius, double? RelativeHumidity, double? AtmospherePascals);
