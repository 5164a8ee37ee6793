using Barostep.Instruments;

namespace Barostep.Configuration.Files;

/// <summary>Capabilities as definition files name them: <c>ReadPressure</c> is <c>read_pressure</c>.</summary>
public static class CapabilityNames
{
    /// <summary>Every capability by its name in files.</summary>
    public static IReadOnlyDictionary<string, Capability> All { get; } =
        Enum.GetValues<Capability>().ToDictionary(NameOf, StringComparer.Ordinal);

    /// <summary>The name in files.</summary>
    public static string NameOf(Capability capability)
    {
        string name = capability.ToString();
        return string.Concat(name.Select((letter, i) =>
            char.IsUpper(letter) ? (i == 0 ? string.Empty : "_") + char.ToLowerInvariant(letter) : letter.ToString()));
    }

    /// <summary>Tells the instrument to do something; asking again could do it twice.</summary>
    public static bool IsCommand(Capability capability) => capability switch
    {
        Capability.WriteUnit or Capability.WriteSetPoint or Capability.WriteRate or Capability.Control
            or Capability.Hold or Capability.Vent or Capability.WriteUpperLimit
            or Capability.Arm or Capability.KeepAlive or Capability.Open or Capability.Fill or Capability.Bleed => true,
        Capability.Identify or Capability.ReadPressure or Capability.ReadUnit or Capability.ReadSetPoint
            or Capability.ReadMode or Capability.ReadUpperLimit or Capability.ReadError or Capability.ReadRestart
            or Capability.ReadCurrent or Capability.ReadVoltage or Capability.ReadResistance or Capability.ReadContact => false,
        _ => throw new InvalidOperationException($"Capability {capability} is not known here."),
    };

    /// <summary>Whether a pressure, counted from somewhere, travels in its messages.</summary>
    public static bool CarriesPressure(Capability capability) => capability
        is Capability.ReadPressure or Capability.ReadSetPoint or Capability.WriteSetPoint
        or Capability.ReadUpperLimit or Capability.WriteUpperLimit;

    /// <summary>What an instrument must be able to do to take a role at all.</summary>
    public static IReadOnlyList<Capability> NeededFor(InstrumentRole role) => role switch
    {
        InstrumentRole.Controller =>
            [Capability.Identify, Capability.ReadPressure, Capability.WriteSetPoint, Capability.Control, Capability.Vent],
        InstrumentRole.Indicator => [Capability.Identify, Capability.ReadPressure],
        InstrumentRole.Multimeter => [Capability.Identify],
        InstrumentRole.Valves => [Capability.Identify, Capability.Fill, Capability.Bleed, Capability.Hold, Capability.Vent],
        InstrumentRole.Relay => [Capability.Arm, Capability.KeepAlive, Capability.Open],
        _ => throw new InvalidOperationException($"Role {role} is not known here."),
    };
}
