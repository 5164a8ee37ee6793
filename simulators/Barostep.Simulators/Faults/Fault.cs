namespace Barostep.Simulators.Faults;

/// <summary>A fault line, understood.</summary>
/// <param name="AtMicros">Bench time at which it strikes; null for at once.</param>
/// <param name="Strike">What it does.</param>
public sealed record Fault(long? AtMicros, Action Strike);
