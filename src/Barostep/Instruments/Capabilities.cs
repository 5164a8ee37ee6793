namespace Barostep.Instruments;

/// <summary>What kinds of capability there are.</summary>
public static class Capabilities
{
    /// <summary>How many there are; a capability's number is below it.</summary>
    public const int Count = (int)Capability.Bleed + 1;

    /// <summary>Asks and changes nothing, so that it may be polled and asked again.</summary>
    public static bool IsQuery(this Capability capability) => capability switch
    {
        Capability.Identify or Capability.ReadPressure or Capability.ReadUnit or Capability.ReadSetPoint
            or Capability.ReadMode or Capability.ReadUpperLimit or Capability.ReadError or Capability.ReadRestart
            or Capability.ReadCurrent or Capability.ReadVoltage or Capability.ReadResistance or Capability.ReadContact => true,
        Capability.WriteUnit or Capability.WriteSetPoint or Capability.WriteRate or Capability.Control
            or Capability.Hold or Capability.Vent or Capability.WriteUpperLimit
            or Capability.Arm or Capability.KeepAlive or Capability.Open or Capability.Fill or Capability.Bleed => false,
        _ => throw new ArgumentOutOfRangeException(nameof(capability)),
    };

    /// <summary>Can start, change or sustain a pressure other than towards the atmosphere.</summary>
    /// <remarks>A change of unit is one of them: it changes what a set point means.</remarks>
    public static bool CanRaisePressure(this Capability capability) => capability is Capability.WriteUnit
        or Capability.WriteSetPoint or Capability.WriteRate or Capability.Control or Capability.WriteUpperLimit
        or Capability.Arm or Capability.KeepAlive or Capability.Fill;
}
