using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// A 4-20 mA transmitter under test. Saturates at 3.8 and 20.5 mA, the ends of measuring information in NAMUR NE 43.
/// </summary>
public sealed class Transmitter(TransmitterDescription description, double restingGaugePa)
{
    private const double LowestA = 3.8e-3;
    private const double HighestA = 20.5e-3;

    private readonly MeasuringElement _element = new(
        description.Errors, description.LowerPa, description.UpperPa, description.LagMicros, Plant.StepMicros, restingGaugePa);

    /// <summary>Output without noise, A.</summary>
    public double TrueCurrentA => Math.Clamp(4e-3 + (16e-3 * _element.Share), LowestA, HighestA);

    /// <summary>Noise of the output, as the standard deviation of samples 1 ms apart, A.</summary>
    public double NoiseA => description.NoiseA;

    public void Follow(double gaugePa) => _element.Follow(gaugePa);
}
