using Barostep.Daemon.Simulation.Faults;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>
/// How high the gas may come at worst, and for how long: computed from the simulated bench as it is and from the stated
/// delays, with nothing of the program's own prediction.
/// </summary>
/// <remarks>
/// Choked flow is the largest that there is, and without heat exchange dp/dt = κ·R·T·q/V (ISO 6358; first law for an open
/// system). Times that depend on the bench are sums over the simulated wire and instruments; a fault takes a layer away
/// and leaves the time of the next.
/// </remarks>
internal sealed class WorstCase(WorldSetup setup)
{
    /// <summary>ISO 6358-1: reference density 1.185 kg/m³ times R of air, 287 J/(kg·K), times 293.15 K, Pa.</summary>
    private const double ReferencePascals = 99_700;

    private const double HeatRatio = 1.4;

    /// <summary>Choked flow of nitrogen against air at the same conductance. From memory.</summary>
    private const double Nitrogen = 1.017;

    private const double ReferenceKelvin = 293.15;

    /// <summary>Specific gas constant of nitrogen, J/(kg·K). From memory.</summary>
    private const double NitrogenGasConstant = 296.80;

    /// <summary>Bytes of a reading of the reference with its question, and the bits of each.</summary>
    private const double ReadingBytes = 7 + 21;

    private const double BitsPerByte = 10;

    /// <summary>Bytes of the longest exchange with the source, and of a vent.</summary>
    private const double LongestBytes = 60;

    private const double VentBytes = 22;

    /// <summary>The source's own sensor is asked five times a second, behind whatever else its line carries, s.</summary>
    private const double SourcePollSeconds = 0.2;

    /// <summary>Age at which the source counts as silent, s.</summary>
    private const double SourceSilenceSeconds = 1.2;

    /// <summary>T_age without its jitter: one answer may be missed, s.</summary>
    private const double OneMissedSeconds = 0.15;

    /// <summary>Lateness that every bench is allowed: what is beyond it is added to the ages, s.</summary>
    private const double UsualLatenessSeconds = 0.15;

    /// <summary>The source's own turn of its loop, s.</summary>
    private const double LoopSeconds = 0.010;

    /// <summary>Six standard deviations of noise, offset and gain of either sensor, and what rounding leaves, Pa.</summary>
    private const double SensorPascals = 150;

    /// <summary>Two sensors may differ by this share of the way to the ceiling without anybody noticing.</summary>
    private const double AgreementShare = 0.005;

    private double _supplyPa = setup.Simulated.Plant.SupplyPa;
    private double _volumeM3 = setup.Simulated.Plant.VolumeM3;

    /// <summary>Ceiling of the bench, Pa absolute, from the text of its file.</summary>
    public double CeilingPascals => setup.Simulated.Plant.AtmospherePa + (double)(setup.Bench.Ceiling.Value * setup.Bench.Ceiling.Unit.Pascals);

    /// <summary>Takes note of what the bench became: a bound holds for the worst of it.</summary>
    public void Look(in TrueState truth)
    {
        _supplyPa = Math.Max(_supplyPa, truth.SupplyPa);
        double volume = truth.MassKg * NitrogenGasConstant * truth.GasTemperatureK / truth.PressurePa;
        _volumeM3 = Math.Min(_volumeM3, volume);
    }

    /// <summary>Whether so much is broken that only the relief valve is left.</summary>
    public static bool IsBeyondSoftware(Reach reach)
    {
        bool bothLie = Has(reach, Reach.ReferenceLies) && Has(reach, Reach.SourceLies);
        bool fills = Has(reach, Reach.FillOpen) || Has(reach, Reach.SourceLies) || Has(reach, Reach.Foreign);
        bool ventShut = Has(reach, Reach.VentShut) || Has(reach, Reach.SourceDeaf) || Has(reach, Reach.SourceBlind) || Has(reach, Reach.GuardGone) || Has(reach, Reach.FillOpen);
        return bothLie || (fills && Has(reach, Reach.DumpDeaf) && ventShut);
    }

    /// <summary>The pressure, Pa absolute, that must not be passed under a ceiling.</summary>
    public double HighestPascals(double ceilingPascals, Reach reach) => IsBeyondSoftware(reach)
        ? ReliefPascals
        : Math.Min(Math.Min(_supplyPa, ReliefPascals), ceilingPascals + (FillRate * ReactionSeconds(reach)) + SensorErrorPascals(reach));

    /// <summary>
    /// The pressure, Pa absolute, at which the open dump lets out all that a source can bring which nobody can tell anything:
    /// equal flows by ISO 6358, choked from the supply, subsonic to the room.
    /// </summary>
    public double BalancePascals()
    {
        double brought = setup.Simulated.Plant.Fill.Conductance * _supplyPa;
        double low = setup.Simulated.Plant.AtmospherePa;
        double high = _supplyPa;
        for (int halving = 0; halving < 40; halving++)
        {
            double middle = (low + high) / 2;
            (low, high) = LetOut(middle) < brought ? (middle, high) : (low, middle);
        }

        return high;
    }

    /// <summary>From the crossing of a ceiling to a shut fill valve or an open dump valve.</summary>
    public double ReactionSeconds(Reach reach) => SightSeconds(reach) + AbsenceSeconds(reach) + ActSeconds;

    /// <summary>How long it takes until a vent or dump has brought a pressure down to the atmosphere, roughly.</summary>
    public double VentSeconds(Reach reach)
    {
        double conductance = Has(reach, Reach.DumpDeaf) ? setup.Simulated.Plant.Vent.Conductance : setup.Simulated.Dump!.Valve.Conductance;
        double tau = Math.Max(_volumeM3, setup.Simulated.Plant.VolumeM3) / (conductance * ReferencePascals);
        return 6 * tau;
    }

    /// <summary>Largest rise, Pa/s.</summary>
    private double FillRate => HeatRatio * Nitrogen * setup.Simulated.Plant.Fill.Conductance * _supplyPa * ReferencePascals
        * Math.Sqrt(setup.Simulated.Plant.AmbientTemperatureK / ReferenceKelvin) / _volumeM3;

    private double LetOut(double pascals)
    {
        ValveDescription dump = setup.Simulated.Dump!.Valve;
        double ratio = setup.Simulated.Plant.AtmospherePa / pascals;
        double subsonic = Math.Max(0, (ratio - dump.CriticalRatio) / (1 - dump.CriticalRatio));
        return dump.Conductance * pascals * Math.Sqrt(Math.Max(0, 1 - (subsonic * subsonic)));
    }

    private double ReliefPascals => setup.Simulated.Plant.ReliefPa!.Value * 1.02;

    /// <summary>Longest time from a cycle to a shut valve: the cycle itself, the longest exchange on the line, the vent, the valve.</summary>
    private double ActSeconds => (setup.Bench.PeriodMicros * 1e-6) + Wire(LongestBytes, "controller") + Wire(VentBytes, "controller") + LoopSeconds + ValveSeconds;

    private double ValveSeconds => (setup.Simulated.Plant.Fill.DeadTimeMicros + setup.Simulated.Plant.Fill.TravelTimeMicros) * 1e-6;

    private double LatenessSeconds => setup.Bench.LatenessMicros * 1e-6;

    private double SightSeconds(Reach reach)
    {
        InstrumentDescription reference = Instrument("reference");
        double seen = (setup.Bench.PeriodMicros + reference.UpdateMicros + reference.LagMicros) * 1e-6;
        seen += Wire(ReadingBytes, "reference");
        double aged = Has(reach, Reach.ReferenceBlind) ? OneMissedSeconds + LatenessSeconds + (setup.Bench.PeriodMicros * 1e-6) : 0;
        double other = Has(reach, Reach.ReferenceLies) ? OtherSensorSeconds(reach) : 0;
        return Math.Max(seen, Math.Max(aged, other));
    }

    private double OtherSensorSeconds(Reach reach)
    {
        InstrumentDescription source = Instrument("controller");
        double seen = SourcePollSeconds + ((source.UpdateMicros + source.LagMicros) * 1e-6) + (3 * Wire(LongestBytes, "controller"));
        double aged = SourceSilenceSeconds + Math.Max(0, LatenessSeconds - UsualLatenessSeconds);
        return Has(reach, Reach.SourceBlind) || Has(reach, Reach.SourceDeaf) ? aged + seen : seen;
    }

    /// <summary>A guard that does not run lets the relay's keep-alive run out.</summary>
    private double AbsenceSeconds(Reach reach) => Has(reach, Reach.GuardGone) ? setup.Simulated.Dump!.KeepAliveMicros * 1e-6 : 0;

    private double SensorErrorPascals(Reach reach)
    {
        bool lies = Has(reach, Reach.ReferenceLies) || Has(reach, Reach.SourceLies);
        return SensorPascals + (lies ? AgreementShare * (CeilingPascals - setup.Simulated.Plant.AtmospherePa) : 0);
    }

    private double Wire(double bytes, string port)
    {
        InstrumentDescription instrument = Instrument(port);
        return (bytes * BitsPerByte / instrument.Baud) + (instrument.TurnaroundMicros * 1e-6);
    }

    private InstrumentDescription Instrument(string port) => setup.Simulated.Instruments.First(one => one.Port == port);

    private static bool Has(Reach reach, Reach one) => (reach & one) != 0;
}
