using System.Globalization;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>Whether a procedure may be run on a device on a bench; asked before any port is opened.</summary>
public sealed class RunCheck
{
    private readonly BenchDefinition bench;
    private readonly DeviceDefinition device;
    private readonly Procedure procedure;
    private readonly SourceMap origins;
    private readonly ErrorList errors = new();

    private RunCheck(BenchDefinition bench, DeviceDefinition device, Procedure procedure, SourceMap origins)
    {
        this.bench = bench;
        this.device = device;
        this.procedure = procedure;
        this.origins = origins;
    }

    /// <summary>All reasons against the run, sorted by place; empty when it may be prepared.</summary>
    public static IReadOnlyList<ConfigurationError> Check(
        BenchDefinition bench, DeviceDefinition device, Procedure procedure, SourceMap origins)
    {
        ArgumentNullException.ThrowIfNull(bench);
        ArgumentNullException.ThrowIfNull(device);
        ArgumentNullException.ThrowIfNull(procedure);
        ArgumentNullException.ThrowIfNull(origins);
        var check = new RunCheck(bench, device, procedure, origins);
        check.OutputCanBeRead();
        check.ReferencesAgree();
        check.PointsWithinLimits();
        check.RateWithinBench();
        check.BandAboveResolution();
        return check.errors.Sorted();
    }

    private Pressure Atmosphere => BenchLimits.AtmosphereOf(bench);

    private void OutputCanBeRead()
    {
        (string place, FittedInstrument? reader, Capability needed) = device.Output switch
        {
            DeviceOutput.Current => ("multimeter", bench.Multimeter, Capability.ReadCurrent),
            DeviceOutput.Voltage => ("multimeter", bench.Multimeter, Capability.ReadVoltage),
            DeviceOutput.Digital => ("device_line", bench.DeviceLine, Capability.ReadPressure),
            _ => throw new InvalidOperationException($"Output {device.Output} is not known here."),
        };
        string output = device.Output.ToString().ToLowerInvariant();
        if (reader is null)
        {
            errors.Add(origins.Of(device, "output.kind"), $"output.kind = \"{output}\" on bench {bench.Name}, which has no [{place}]",
                "a device needs the instrument that reads it", $"add [{place}] to {SourceMap.FileOf(bench)} or choose another bench");
        }
        else if (!reader.Definition.Can(needed))
        {
            errors.Add(origins.Of(bench, $"{place}.instrument"), $"{reader.Definition.Name} cannot read the {output} of device {device.Name}",
                "the instrument reads what the device gives out", "fit one that can, or add the exchange to its file");
        }
    }

    private void ReferencesAgree()
    {
        if (bench.AtmosphereStated)
            return;
        foreach (FittedInstrument fitted in new[] { bench.Source, bench.Reference })
        {
            if (ToldBy(fitted.Definition) is not { } told || told == device.Reference)
                continue;
            errors.Add(origins.Of(device, "range_from"), $"device {device.Name} is {Word(device.Reference)} and {fitted.Definition.Name} tells {Word(told)} pressure",
                "gauge and absolute are compared only through a stated atmosphere", $"write atmosphere = \"1013.25 hPa absolute\" with the bench's own value in {SourceMap.FileOf(bench)}");
            return;
        }
    }

    private void PointsWithinLimits()
    {
        PressureLimit bottom = BenchLimits.Floors(bench, device, origins)[0];
        PressureLimit weakest = BenchLimits.Ceilings(bench, null, origins)[0];
        PressureLimit rating = BenchLimits.Ceilings(bench, device, origins).First(limit => limit.Stated == device.Rating);
        bool passed = FirstPoint(
            target => target > weakest.Absolute, $"above the {weakest.Name}, {weakest.Stated} ({weakest.Origin.FileAndLine})", "no set point passes any limit");
        passed |= FirstPoint(
            target => target > rating.Absolute, $"above its rating, {rating.Stated} ({origins.Of(device, "rating").FileAndLine})", "no set point passes any limit");
        FirstPoint(
            target => target < bottom.Absolute, $"below the {bottom.Name}, {bottom.Stated} ({bottom.Origin.FileAndLine})", "no set point passes any limit");
        if (!passed)
            KeepTheMargin();
    }

    private void KeepTheMargin()
    {
        PressureLimit tightest = BenchLimits.Ceilings(bench, device, origins)[0];
        Pressure most = tightest.Absolute - BenchLimits.SetPointMargin(bench, tightest.Absolute);
        FirstPoint(
            target => target > most,
            $"above {Shown(most)}, which is the {tightest.Name} ({tightest.Origin.FileAndLine}) less the set-point margin",
            "set points keep the margin below the effective ceiling");
    }

    /// <summary>Names the first point, or the preload, that is too far; the ones after it follow from it.</summary>
    private bool FirstPoint(Func<Pressure, bool> isTooFar, string found, string rule)
    {
        for (int i = 0; i < procedure.PointsOfSpan.Count; i++)
        {
            double share = procedure.PointsOfSpan[i];
            if (isTooFar(At(share)))
                return Refuse(string.Create(CultureInfo.InvariantCulture, $"the point {share * 100:0.###} %"), $"points_of_span.{i}", At(share));
        }

        return procedure.Preloads > 0 && isTooFar(At(1)) && Refuse("the preload, to the end of the range", "preloads", At(1));

        bool Refuse(string what, string key, Pressure target)
        {
            errors.Add(origins.Of(procedure, key), $"{what} of device {device.Name} is {Shown(target)} on bench {bench.Name}, {found}", rule,
                "leave it out, or use another device or bench; never raise a limit for a point");
            return true;
        }
    }

    private void RateWithinBench()
    {
        double asked = procedure.RateOfSpanPerSecond * device.SpanPascals;
        // A hair of tolerance, since both figures went through decimal text.
        if (asked <= bench.MaxRatePascalsPerSecond * (1 + 1e-9))
            return;
        double unit = device.Unit.PascalsAsDouble;
        errors.Add(origins.Of(procedure, "rate"),
            string.Create(CultureInfo.InvariantCulture, $"the rate is {asked / unit:0.####} {device.Unit}/s for device {device.Name}"),
            string.Create(CultureInfo.InvariantCulture, $"bench {bench.Name} allows {bench.MaxRatePascalsPerSecond / unit:0.####} {device.Unit}/s ({origins.Of(bench, "max_rate").FileAndLine})"),
            string.Create(CultureInfo.InvariantCulture, $"write at most \"{bench.MaxRatePascalsPerSecond / device.SpanPascals * 100:0.####} % of span/s\""));
    }

    private void BandAboveResolution()
    {
        double resolution = bench.Reference.ResolutionPascals;
        double band = procedure.Settle.BandOfSpan * device.SpanPascals;
        if (resolution <= 0 || band >= resolution)
            return;
        errors.Add(origins.Of(procedure, "settle.band"),
            string.Create(CultureInfo.InvariantCulture, $"settle.band is {band:0.###} Pa for device {device.Name}"),
            string.Create(CultureInfo.InvariantCulture, $"a band narrower than one step of the reference, {resolution:0.###} Pa ({origins.Of(bench, "reference.resolution").FileAndLine}), never settles"),
            string.Create(CultureInfo.InvariantCulture, $"write at least \"{resolution / device.SpanPascals * 100:0.#####} % of span\""));
    }

    private Pressure At(double share)
    {
        decimal value = device.RangeFrom.Value + ((decimal)share * (device.RangeTo.Value - device.RangeFrom.Value));
        return new StatedPressure(value, device.Unit, device.Reference).ToAbsolute(Atmosphere);
    }

    private string Shown(Pressure pressure) => string.Create(CultureInfo.InvariantCulture,
        $"{pressure.In(device.Unit, device.Reference, Atmosphere):0.####} {device.Unit} {Word(device.Reference)}");

    /// <summary>The reference that an instrument's readings have; null where only the reply will say.</summary>
    private static PressureReference? ToldBy(InstrumentDefinition definition)
    {
        if (definition.Exchanges.GetValueOrDefault(Capability.ReadPressure)?.Reference is { } stated)
            return stated;
        PressureReference[] words = [.. definition.UnitWords.Values.Select(unit => unit.Reference).Distinct()];
        return words.Length == 1 ? words[0] : definition.RangeTo?.Reference;
    }

    private static string Word(PressureReference reference) => reference == PressureReference.Gauge ? "gauge" : "absolute";
}
