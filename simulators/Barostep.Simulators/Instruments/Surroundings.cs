namespace Barostep.Simulators.Instruments;

/// <summary>What the plant shows to an instrument's sensors in one step.</summary>
/// <param name="NowMicros">End of the step.</param>
/// <param name="GaugePa">Gauge pressure of the gas, Pa.</param>
/// <param name="AtmospherePa">Absolute pressure of the room, Pa.</param>
/// <param name="LoopCurrentA">Current through the multimeter without noise, A.</param>
/// <param name="LoopNoiseA">The transmitter's noise, as the standard deviation of samples 1 ms apart, A.</param>
public readonly record struct Surroundings(
    long NowMicros, double GaugePa, double AtmospherePa, double LoopCurrentA, double LoopNoiseA)
{
    /// <summary>Resistance of the contact under test, ohm; infinite on a bench without one.</summary>
    public double ContactOhm { get; init; } = double.PositiveInfinity;
}
