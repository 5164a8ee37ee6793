namespace Barostep.Simulators.Faults;

/// <summary>A fault line that is not understood. The message is for people and says what to write.</summary>
public sealed class FaultLineException(string message) : Exception(message);
