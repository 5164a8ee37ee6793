using System.Runtime.CompilerServices;

namespace Barostep.Simulators.Pneumatics;

/// <summary>Mass flow through a component by ISO 6358: sonic conductance C and critical pressure ratio b.</summary>
public static class Iso6358
{
    /// <summary>Density of air at the standard reference atmosphere (ANR), kg/m3.</summary>
    public const double ReferenceDensity = 1.185;

    /// <summary>Temperature of the standard reference atmosphere, K.</summary>
    public const double ReferenceTemperatureK = 293.15;

    /// <summary>
    /// Above this ratio the flow goes to zero linearly: the root of the formula has an infinite slope at equal
    /// pressures, which no real passage has and no fixed step survives.
    /// </summary>
    public const double LaminarRatio = 0.999;

    /// <summary>
    /// Converts a conductance measured with air to mass flow of another gas: ratio of their choked flow functions.
    /// </summary>
    public static double GasFactor(Gas gas) => gas.ChokedFlowFunction / Gas.Air.ChokedFlowFunction;

    /// <summary>Mass flow in kg/s from the upstream to the downstream side.</summary>
    /// <param name="conductance">Sonic conductance C, m3/(s Pa).</param>
    /// <param name="criticalRatio">Critical pressure ratio b.</param>
    /// <param name="upstreamPa">Absolute pressure upstream.</param>
    /// <param name="upstreamK">Temperature upstream.</param>
    /// <param name="downstreamPa">Absolute pressure downstream, not above the one upstream.</param>
    public static double MassFlow(
        double conductance, double criticalRatio, double upstreamPa, double upstreamK, double downstreamPa) =>
        conductance * ReferenceDensity * upstreamPa * Math.Sqrt(ReferenceTemperatureK / upstreamK)
        * FlowShare(criticalRatio, downstreamPa / upstreamPa);

    /// <summary>Share of the choked flow at a pressure ratio from 0 to 1.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static double FlowShare(double criticalRatio, double ratio) => FlowShare(criticalRatio, ratio, 1 / (1 - criticalRatio));

    /// <inheritdoc cref="FlowShare(double, double)"/>
    /// <param name="criticalRatio">Critical pressure ratio b.</param>
    /// <param name="ratio">Downstream over upstream pressure.</param>
    /// <param name="ratioScale">1/(1 - b), which the caller keeps.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static double FlowShare(double criticalRatio, double ratio, double ratioScale)
    {
        if (ratio <= criticalRatio)
        {
            return 1;
        }

        double within = (Math.Min(ratio, LaminarRatio) - criticalRatio) * ratioScale;
        double share = Math.Sqrt(1 - (within * within));
        return ratio <= LaminarRatio ? share : share * (1 - ratio) / (1 - LaminarRatio);
    }
}
