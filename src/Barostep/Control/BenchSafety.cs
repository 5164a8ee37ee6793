using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Turns what the files say of a bench and a device into the numbers that the kernel compares with.</summary>
public static class BenchSafety
{
    /// <summary>ISO 6358 reference: density times gas constant times reference temperature, as a share of 100 kPa.</summary>
    private const double ReferenceState = 0.997;

    /// <summary>T_age without its jitter: two periods and one reply at 9600 baud, rounded up.</summary>
    private const long OneMissedAnswerMicros = 150_000;

    /// <summary>Of the span, for the test of the dump valve: below the 5 % of SR-34, so that a controller that passes its set point stays below them.</summary>
    private const int SelfTestShare = 25;

    /// <summary>The test must begin this many safe bands from the atmosphere, or its fall could not be told from noise (trade practice).</summary>
    private const int SelfTestBands = 4;

    /// <summary>A vent through a real pipe is slower than through its valve alone (trade practice).</summary>
    private const double VentMargin = 1.5;

    /// <summary>The limits of a bench with a device on it.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="device">The device that is fitted; null for the bare bench.</param>
    /// <param name="origins">Where each limit was written.</param>
    public static SafetyLimits LimitsFor(BenchDefinition bench, DeviceDefinition? device, SourceMap origins)
    {
        IReadOnlyList<LimitContribution> contributions = Contributions(bench, device, origins);
        Pressure atmosphere = BenchLimits.AtmosphereOf(bench);
        double rate = bench.Parts.Select(p => p.MaxRatePascalsPerSecond).Append(bench.MaxRatePascalsPerSecond).Min();
        var limits = new SafetyLimits(contributions, atmosphere, (long)(rate * 1000));
        bool tellsLimit = bench.Source?.Definition is { } source && source.Can(Capability.WriteUpperLimit) && source.Can(Capability.ReadUpperLimit);
        long unusual = Math.Max(0, bench.LatenessMicros - BenchDefinition.SharedProcessLatenessMicros);
        SafetyLimits told = limits with
        {
            SetPointMargin = BenchLimits.SetPointMargin(bench, limits.EffectiveCeiling),
            SourceUpperLimit = tellsLimit ? limits.EffectiveCeiling : null,
            VentTimeConstantMicros = VentTimeConstantMicros(bench.GasPath),
            SelfTestRise = SelfTestRise(bench, limits),
            FastestFillMilliPascalsPerSecond = FastestFill(bench.GasPath, atmosphere),
            ReferenceStaleAfterMicros = OneMissedAnswerMicros + bench.LatenessMicros,
            ReferenceLateAfterMicros = OneMissedAnswerMicros + (bench.LatenessMicros / 2),
            LongestGapMicros = OneMissedAnswerMicros + bench.LatenessMicros,
            IntentLapsesAfterMicros = OneMissedAnswerMicros + bench.LatenessMicros,
            LeaseMicros = Math.Max(limits.LeaseMicros, bench.LatenessMicros),
            // An answer is late where the cycle that takes it is; the kernel's own figures allow for the usual lateness.
            VentAcknowledgedWithinMicros = limits.VentAcknowledgedWithinMicros + unusual,
            SourceLateAfterMicros = limits.SourceLateAfterMicros + unusual,
            SourceStaleAfterMicros = limits.SourceStaleAfterMicros + unusual,
        };
        return bench.Person is { } person ? ForPerson(told, person, bench.AnswersWithinMicros) : told;
    }

    /// <summary>
    /// A hand follows no ramp: it pauses, passes a set point, goes back. Level, rate, age and heading are judged as ever;
    /// that the pressure follows is waited for as long as for an answer, and a vent for as long as a person needs.
    /// </summary>
    private static SafetyLimits ForPerson(SafetyLimits limits, PersonAtPump person, long answersWithinMicros) => limits with
    {
        StrayBand = limits.EffectiveCeiling - limits.EffectiveFloor,
        // The run gives up first, and says what was not done.
        ResponseWithinMicros = 2 * answersWithinMicros,
        VentLagMicros = limits.VentLagMicros + person.VentsWithinMicros,
    };

    /// <summary>Whether the dump valve can be tested before a run: there must be one, and a source that can be shut.</summary>
    private static PressureDifference SelfTestRise(BenchDefinition bench, SafetyLimits limits)
    {
        long rise = (limits.EffectiveCeiling - limits.Atmosphere).MilliPascals / SelfTestShare;
        bool can = bench.DumpValve is not null && bench.Source?.Definition.Can(Capability.Hold) == true
            && rise >= SelfTestBands * limits.SafeBand.MilliPascals;
        return new(can ? rise : 0);
    }

    private static long FastestFill(GasPath path, Pressure atmosphere)
    {
        double rate = OvershootBudget.FastestFill(
            path.Gas, path.SupplyMaximum.ToAbsolute(atmosphere).Pascals, path.SupplyTemperatureKelvin, path.Fill.Conductance, path.VolumeMinimum);
        return (long)(rate * 1000);
    }

    /// <summary>Every limit of a bench with a device on it, the tightest of each direction first.</summary>
    public static IReadOnlyList<LimitContribution> Contributions(BenchDefinition bench, DeviceDefinition? device, SourceMap origins) =>
    [
        .. BenchLimits.Ceilings(bench, device, origins).Select(limit => new LimitContribution(limit.Name, limit.Absolute, null, limit.Origin.ToString())),
        .. BenchLimits.Floors(bench, device, origins).Select(limit => new LimitContribution(limit.Name, null, limit.Absolute, limit.Origin.ToString())),
    ];

    /// <summary>τ = V / (C · 0.997) with the largest volume (ISO 6358; C in dm³/(s·bar), V in dm³).</summary>
    private static long VentTimeConstantMicros(GasPath path)
    {
        const double cubicMetresPerSecondPascal = 1e-8;
        double conductance = path.Vent.Conductance / cubicMetresPerSecondPascal;
        double volume = path.VolumeMaximum * 1000;
        return (long)(VentMargin * volume / (conductance * ReferenceState) * 1e6);
    }
}
