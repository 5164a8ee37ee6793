using Barostep.Simulators;

namespace Barostep.Tests.Faults;

/// <summary>How high the gas may come at worst, computed from the simulated bench itself and the delays that are stated for it.</summary>
/// <remarks>
/// Nothing of the program's own prediction is used. Choked flow through the fill valve is the largest there is, and
/// without heat exchange dp/dt = κ·R·T·q/V (ISO 6358; first law for an open system).
/// </remarks>
internal static class WorstCase
{
    /// <summary>ISO 6358-1: reference density 1.185 kg/m³ at 100 kPa and 293.15 K; times R of air, 287 J/(kg·K), times that temperature, Pa.</summary>
    private const double ReferencePascals = 99_700;

    private const double HeatRatio = 1.4;

    /// <summary>Choked flow of nitrogen against air at the same conductance: with its own gas constant. From memory.</summary>
    private const double Nitrogen = 1.017;

    /// <summary>Oldest sample, its transfer at 9600 baud, the sensor's lag, valve dead and travel times: bench file and wire, s.</summary>
    private const double SightAndValveSeconds = 0.020 + 0.040 + 0.030 + 0.025;

    /// <summary>A command at 19200 baud behind the longest exchange already on its line, s.</summary>
    private const double CommandSeconds = 0.100;

    /// <summary>Two polls and a reply, after which a reading is old, s.</summary>
    private const double AgeSeconds = 0.150;

    /// <summary>Keep-alive of the relay, once, s.</summary>
    private const double KeepAliveSeconds = 0.5;

    /// <summary>The pressure, Pa absolute, that must not be passed: ceiling and what flows in until the fill is shut or the dump is open.</summary>
    /// <param name="bench">The simulated bench's gas and valves.</param>
    /// <param name="ceilingPascals">Absolute.</param>
    /// <param name="latenessSeconds">How late the machine may be by the bench file of the program.</param>
    public static double Pascals(PlantDescription bench, double ceilingPascals, double latenessSeconds)
    {
        double perSecond = HeatRatio * Nitrogen * bench.Fill.Conductance * bench.SupplyPa * ReferencePascals / bench.VolumeM3;
        double guarded = AgeSeconds + latenessSeconds + CommandSeconds;
        double unguarded = KeepAliveSeconds + AgeSeconds + latenessSeconds;
        double rise = perSecond * (SightAndValveSeconds + Math.Max(guarded, unguarded));
        return Math.Min(bench.SupplyPa, ceilingPascals + rise);
    }
}
