namespace Barostep.Simulators.Wire;

/// <summary>A byte on a line and the time at which its last bit arrives.</summary>
internal readonly record struct TimedByte(long AtMicros, byte Value);
