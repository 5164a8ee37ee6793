using Barostep.Safety;

namespace Barostep.Configuration.Quantities;

/// <summary>A kind of quantity that a file can state: which units it may have and how it is written.</summary>
/// <param name="Name">With its article, for messages: <c>a time</c>.</param>
/// <param name="Example">How one is written, for messages.</param>
/// <param name="Units">Symbol to the factor that brings it to the base unit.</param>
internal sealed record QuantityKind(string Name, string Example, IReadOnlyDictionary<string, decimal> Units)
{
    /// <summary>Base unit: microsecond.</summary>
    public static readonly QuantityKind Time = Of("a time", "30 s",
        ("us", 1m), ("ms", 1000m), ("s", 1_000_000m), ("min", 60_000_000m), ("h", 3_600_000_000m));

    /// <summary>Base unit: pascal. A difference has no reference: neither gauge nor absolute.</summary>
    public static readonly QuantityKind PressureDifference = new("a pressure difference", "5 mbar",
        PressureUnit.All.ToDictionary(unit => unit.Symbol, unit => unit.Pascals));

    /// <summary>Base unit: pascal per second.</summary>
    public static readonly QuantityKind PressureRate = new("a rate of change", "0.5 bar/s",
        PressureUnit.All
            .SelectMany(unit => new[] { (Symbol: unit.Symbol + "/s", unit.Pascals), (Symbol: unit.Symbol + "/min", Pascals: unit.Pascals / 60m) })
            .ToDictionary(unit => unit.Symbol, unit => unit.Pascals));

    /// <summary>Base unit: the span of the device.</summary>
    public static readonly QuantityKind ShareOfSpan = Of("a share of the span", "0.5 % of span", ("% of span", 0.01m));

    /// <summary>Base unit: the span per second.</summary>
    public static readonly QuantityKind RateOfSpan = Of("a share of the span per time", "5 % of span/s",
        ("% of span/s", 0.01m), ("% of span/min", 0.01m / 60m));

    /// <summary>Base unit: 1. For keys whose name says of what the share is.</summary>
    public static readonly QuantityKind Share = Of("a share", "50 %", ("%", 0.01m));

    /// <summary>Base unit: ampere.</summary>
    public static readonly QuantityKind Current = Of("a current", "4 mA", ("uA", 0.000_001m), ("mA", 0.001m), ("A", 1m));

    /// <summary>Base unit: volt.</summary>
    public static readonly QuantityKind Voltage = Of("a voltage", "10 V", ("mV", 0.001m), ("V", 1m));

    /// <summary>Base unit: cubic metre.</summary>
    public static readonly QuantityKind Volume = Of("a volume", "150 mL",
        ("mL", 0.000_001m), ("cm3", 0.000_001m), ("L", 0.001m), ("dm3", 0.001m), ("m3", 1m));

    /// <summary>Base unit: m³/(s·Pa), sonic conductance by ISO 6358-1.</summary>
    public static readonly QuantityKind Conductance = Of("a sonic conductance", "0.005 dm3/(s.bar)",
        ("dm3/(s.bar)", 0.000_000_01m), ("L/(s.bar)", 0.000_000_01m), ("m3/(s.Pa)", 1m));

    /// <summary>Base unit: joule.</summary>
    public static readonly QuantityKind Energy = Of("an energy", "50 J", ("J", 1m), ("kJ", 1000m));

    /// <summary>Base unit: kelvin. Degrees would need an offset, which no other quantity has.</summary>
    public static readonly QuantityKind Temperature = Of("a temperature", "295 K", ("K", 1m));

    /// <summary>Base unit: metre.</summary>
    public static readonly QuantityKind Length = Of("a length", "0.35 m", ("mm", 0.001m), ("cm", 0.01m), ("m", 1m));

    /// <summary>Base unit: m/s².</summary>
    public static readonly QuantityKind Acceleration = Of("an acceleration", "9.81 m/s2", ("m/s2", 1m));

    /// <summary>Base unit: degree.</summary>
    public static readonly QuantityKind Angle = Of("an angle", "53.5 deg", ("deg", 1m));

    /// <summary>Base unit: ohm.</summary>
    public static readonly QuantityKind Resistance = Of("a resistance", "250 ohm", ("mohm", 0.001m), ("ohm", 1m), ("kohm", 1000m));

    /// <summary>Base unit: 1/K.</summary>
    public static readonly QuantityKind PerKelvin = Of("a temperature coefficient", "5 ppm/K", ("ppm/K", 0.000_001m), ("1/K", 1m));

    /// <summary>Base unit: month of the calendar.</summary>
    public static readonly QuantityKind Interval = Of("an interval", "12 months", ("months", 1m), ("years", 12m));

    private static QuantityKind Of(string name, string example, params (string Symbol, decimal Factor)[] units) =>
        new(name, example, units.ToDictionary(unit => unit.Symbol, unit => unit.Factor));
}
