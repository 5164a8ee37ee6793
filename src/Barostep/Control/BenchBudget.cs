using Barostep.Configuration;
using Barostep.Configuration.Checks;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Turns what the files say of a bench into the inputs of the overshoot budget.</summary>
/// <remarks>
/// Lengths of messages come from the instruments' definitions, line speeds from the fitted instruments, the age of a
/// stale reading from the limits that the kernel itself gets, so that the budget speaks of the program that runs.
/// </remarks>
public static class BenchBudget
{
    private const double MicrosPerSecond = 1e6;

    /// <summary>Expanded uncertainty for a coverage of about 95 %.</summary>
    private const double CoverageFactor = 2;

    /// <summary>A margin of 1.5 times the controller's own overshoot is kept (SR-04).</summary>
    private const double OvershootMargin = 1.5;

    private const double DefaultOvershootShare = 0.01;

    /// <summary>The inputs for a bench with a device on it.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="device">The device that is fitted; null for the bare bench.</param>
    /// <param name="origins">Where each figure was written.</param>
    /// <param name="today">The day on which a test is due or not.</param>
    public static BudgetInputs InputsFor(BenchDefinition bench, DeviceDefinition? device, SourceMap origins, DateOnly today)
    {
        IReadOnlyList<LimitContribution> limits = BenchSafety.Contributions(bench, device, origins);
        Pressure atmosphere = BenchLimits.AtmosphereOf(bench);
        Pressure ceiling = limits.Where(limit => limit.Ceiling is not null).Min(limit => limit.Ceiling!.Value);
        double overshoot = bench.ControllerOvershoot?.Pascals ?? (DefaultOvershootShare * (ceiling - atmosphere).Pascals);
        Pressure highest = device?.RangeTo.ToAbsolute(atmosphere) ?? ceiling - BenchLimits.SetPointMargin(bench, ceiling);
        return new BudgetInputs
        {
            Gas = bench.GasPath.Gas,
            SupplyMaximumPascals = bench.GasPath.SupplyMaximum.ToAbsolute(atmosphere).Pascals,
            SupplyMaximumReason = bench.GasPath.SupplyMaximumReason,
            SupplyTemperatureKelvin = bench.GasPath.SupplyTemperatureKelvin,
            FillConductance = bench.GasPath.Fill.Conductance,
            FillCriticalRatio = bench.GasPath.Fill.CriticalRatio,
            DumpConductance = bench.GasPath.Vent.Conductance,
            DumpCriticalRatio = bench.GasPath.Vent.CriticalRatio,
            VolumeMinimum = bench.GasPath.VolumeMinimum,
            VolumeMaximum = bench.GasPath.VolumeMaximum,
            TrappedVolume = bench.GasPath.TrappedVolume,
            AtmospherePascals = atmosphere.Pascals,
            AtmosphereSpreadPascals = bench.AtmosphereSpreadPascals,
            Limits = limits,
            SetPointMaximumPascals = highest.Pascals,
            ControlMarginPascals = OvershootMargin * overshoot,
            ReferenceUncertaintyPascals = CoverageFactor * bench.Reference.StandardUncertaintyPascals,
            Parts = Parts(bench, device, origins, atmosphere),
            Relief = Relief(bench.Protection.ReliefValve, atmosphere, today),
            Switch = Switch(bench.Protection.PressureSwitch, atmosphere),
            KeepAlive = bench.Protection.KeepAlive is { } relay ? new KeepAliveRelay(relay.TimeSeconds, relay.Challenges ? 1 : 2, relay.RelaySeconds) : null,
            Timing = Timing(bench, device, origins),
            PressureSensors = bench.Source?.Definition.Can(Capability.ReadPressure) == true ? 2 : 1,
            UnattendedAllowed = bench.Protection.UnattendedAllowed,
        };
    }

    private static List<RatedPart> Parts(BenchDefinition bench, DeviceDefinition? device, SourceMap origins, Pressure atmosphere)
    {
        List<RatedPart> parts = [.. bench.Parts.Select(part => new RatedPart(
            part.Derating == 1m ? part.Name : $"{part.Name}, derated from {part.Rating}",
            part.DeratedRating.ToAbsolute(atmosphere).Pascals,
            part.Floor.ToAbsolute(atmosphere).Pascals,
            origins.Of(bench, $"part.{part.Name}.rating").FileAndLine))];
        if (device is not null)
            parts.AddRange(bench.Beside.Select(one => one.Device).Prepend(device).Select(Part));
        return parts;

        RatedPart Part(DeviceDefinition fitted) => new(
            $"device {fitted.Name}",
            fitted.Rating.ToAbsolute(atmosphere).Pascals,
            fitted.Floor.ToAbsolute(atmosphere).Pascals,
            origins.Of(fitted, "rating").FileAndLine);
    }

    private static ReliefValve? Relief(FittedReliefValve? fitted, Pressure atmosphere, DateOnly today)
    {
        if (fitted is null)
            return null;
        string tested = fitted.LastTest?.ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture) ?? "";
        double gauge = (fitted.SetPressure.ToAbsolute(atmosphere) - atmosphere).Pascals;
        return new ReliefValve(fitted.Identity, gauge, fitted.Tolerance, fitted.Conductance, tested)
        {
            TestIsOverdue = fitted.LastTest is { } last && (last > today || last.AddMonths(fitted.TestIntervalMonths) < today),
        };
    }

    private static PressureSwitch? Switch(FittedPressureSwitch? fitted, Pressure atmosphere) => fitted is null
        ? null
        : new PressureSwitch(fitted.Identity, (fitted.SetPressure.ToAbsolute(atmosphere) - atmosphere).Pascals, fitted.Tolerance, fitted.ReactionSeconds);

    // A cycle that has to be waited for is up to a period away, and then as late as the bench's file allows.
    private static GuardTiming Timing(BenchDefinition bench, DeviceDefinition? device, SourceMap origins)
    {
        ReactionTimes times = bench.Reaction;
        double period = bench.PeriodMicros / MicrosPerSecond;
        double lateness = bench.LatenessMicros / MicrosPerSecond;
        SafetyLimits limits = BenchSafety.LimitsFor(bench, device, origins);
        (int request, int reply) = ExchangeTime.MostBytes(bench.Reference.Definition, Capability.ReadPressure);
        return new GuardTiming
        {
            PollPeriodSeconds = period,
            RequestBytes = request,
            ReplyBytes = reply,
            CommandBytes = bench.Source is { } told ? CommandBytes(told.Definition) : 1,
            BitsPerByte = ExchangeTime.BitsPerByte(bench.Reference.Definition),
            Baud = bench.Reference.Baud ?? bench.Reference.Definition.Line.Baud,
            TurnaroundSeconds = times.Turnaround,
            UsbLatencySeconds = times.AdapterLatency,
            ConversionAgeSeconds = times.ConversionAge,
            SensorLagSeconds = times.SensorLag,
            LineLagSeconds = times.TubingLag,
            ExecutionSeconds = period + lateness,
            LeaseSeconds = limits.LeaseMicros / MicrosPerSecond,
            ValveDeadSeconds = times.ValveDead,
            ValveCloseSeconds = times.ValveClose,
            JitterSeconds = lateness,
            MissedReplies = 1,
            StaleAgeSeconds = limits.ReferenceStaleAfterMicros / MicrosPerSecond,
            // A person's own time to let go is the valve's: they hear the alarm and take their hands off.
            CommandLine = bench.Source is not { } source ? null : new CommandLine(
                ExchangeTime.BitsPerByte(source.Definition),
                source.Baud ?? source.Definition.Line.Baud,
                times.Turnaround,
                LongestExchangeSeconds(source, times)),
        };
    }

    private static int CommandBytes(InstrumentDefinition source) =>
        new[] { Capability.Vent, Capability.Hold }.Where(source.Can).Select(command => ExchangeTime.MostBytes(source, command).Request).DefaultIfEmpty(1).Max();

    private static double LongestExchangeSeconds(FittedInstrument source, ReactionTimes times)
    {
        double secondsPerByte = ExchangeTime.BitsPerByte(source.Definition) / (double)(source.Baud ?? source.Definition.Line.Baud);
        // Who it is, an instrument is asked only before it is told anything.
        int longest = source.Definition.Exchanges.Keys
            .Where(capability => capability != Capability.Identify)
            .Select(capability => ExchangeTime.MostBytes(source.Definition, capability))
            .Select(bytes => bytes.Request + bytes.Reply)
            .DefaultIfEmpty(0)
            .Max();
        return (longest * secondsPerByte) + times.Turnaround + times.AdapterLatency;
    }
}
