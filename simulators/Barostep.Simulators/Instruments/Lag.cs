namespace Barostep.Simulators.Instruments;

/// <summary>First-order lag at a fixed step.</summary>
public static class Lag
{
    /// <summary>Share of the distance to its input that a lag covers in one step; 1 without a lag.</summary>
    public static double Share(long timeConstantMicros, long stepMicros) =>
        timeConstantMicros <= 0 ? 1 : 1 - Math.Exp(-(double)stepMicros / timeConstantMicros);
}
