namespace Barostep.Procedures.Settling;

/// <summary>Reference and device at one moment of an approach, before either is corrected.</summary>
/// <param name="AtMicros">Middle of the device's exchange, on the run's monotonic clock.</param>
/// <param name="ReferencePascals">The reference at that moment, Pa in the device's own reference.</param>
/// <param name="ErrorPascals">What the device indicates, less the reference, Pa.</param>
public readonly record struct SettlingPair(long AtMicros, double ReferencePascals, double ErrorPascals);
