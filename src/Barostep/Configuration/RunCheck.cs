using System.Globalization;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>Whether a procedure may be run on a device on a bench; asked before any port is opened.</summary>
public sealed class RunCheck
{
    private readonly BenchDefinition _bench;
    private readonly DeviceDefinition _device;
    private readonly Procedure _procedure;
    private readonly SourceMap _origins;
    private readonly ErrorList _errors = new();

    private RunCheck(BenchDefinition bench, DeviceDefinition device, Procedure procedure, SourceMap origins)
    {
        _bench = bench;
        _device = device;
        _procedure = procedure;
        _origins = origins;
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
        return check._errors.Sorted();
    }

    private Pressure Atmosphere => BenchLimits.AtmosphereOf(_bench);

    private void OutputCanBeRead()
    {
        (string place, FittedInstrument? reader, Capability needed) = _device.Output switch
        {
            DeviceOutput.Current => ("multimeter", _bench.Multimeter, _bench.Arrangement.Shunt is null ? Capability.ReadCurrent : Capability.ReadVoltage),
            DeviceOutput.Voltage => ("multimeter", _bench.Multimeter, Capability.ReadVoltage),
            DeviceOutput.Digital => ("device_line", _bench.DeviceLine, Capability.ReadPressure),
            _ => throw new InvalidOperationException($"Output {_device.Output} is not known here."),
        };
        string output = _device.Output.ToString().ToLowerInvariant();
        if (reader is null)
        {
            _errors.Add(_origins.Of(_device, "output.kind"), $"output.kind = \"{output}\" on bench {_bench.Name}, which has no [{place}]",
                "a device needs the instrument that reads it", $"add [{place}] to {SourceMap.FileOf(_bench)} or choose another bench");
        }
        else if (!reader.Definition.Can(needed))
        {
            _errors.Add(_origins.Of(_bench, $"{place}.instrument"), $"{reader.Definition.Name} cannot read the {output} of device {_device.Name}",
                "the instrument reads what the device gives out", "fit one that can, or add the exchange to its file");
        }
    }

    private void ReferencesAgree()
    {
        if (_bench.AtmosphereStated)
            return;
        foreach (FittedInstrument fitted in new[] { _bench.Source, _bench.Reference })
        {
            if (fitted.Definition.PressureReferenceTold is not { } told || told == _device.Reference)
                continue;
            _errors.Add(_origins.Of(_device, "range_from"), $"device {_device.Name} is {Word(_device.Reference)} and {fitted.Definition.Name} tells {Word(told)} pressure",
                "gauge and absolute are compared only through a stated atmosphere", $"write atmosphere = \"1013.25 hPa absolute\" with the bench's own value in {SourceMap.FileOf(_bench)}");
            return;
        }
    }

    private void PointsWithinLimits()
    {
        PressureLimit bottom = BenchLimits.Floors(_bench, _device, _origins)[0];
        PressureLimit weakest = BenchLimits.Ceilings(_bench, null, _origins)[0];
        PressureLimit rating = BenchLimits.Ceilings(_bench, _device, _origins).First(limit => limit.Stated == _device.Rating);
        bool passed = FirstPoint(
            target => target > weakest.Absolute, $"above the {weakest.Name}, {weakest.Stated} ({weakest.Origin.FileAndLine})", "no set point passes any limit");
        passed |= FirstPoint(
            target => target > rating.Absolute, $"above its rating, {rating.Stated} ({_origins.Of(_device, "rating").FileAndLine})", "no set point passes any limit");
        FirstPoint(
            target => target < bottom.Absolute, $"below the {bottom.Name}, {bottom.Stated} ({bottom.Origin.FileAndLine})", "no set point passes any limit");
        if (!passed)
            KeepTheMargin();
    }

    private void KeepTheMargin()
    {
        PressureLimit tightest = BenchLimits.Ceilings(_bench, _device, _origins)[0];
        Pressure most = tightest.Absolute - BenchLimits.SetPointMargin(_bench, tightest.Absolute);
        FirstPoint(
            target => target > most,
            $"above {Shown(most)}, which is the {tightest.Name} ({tightest.Origin.FileAndLine}) less the set-point margin",
            "set points keep the margin below the effective ceiling");
    }

    /// <summary>Names the first point, or the preload, that is too far; the ones after it follow from it.</summary>
    private bool FirstPoint(Func<Pressure, bool> isTooFar, string found, string rule)
    {
        for (int i = 0; i < _procedure.PointsOfSpan.Count; i++)
        {
            double share = _procedure.PointsOfSpan[i];
            if (isTooFar(At(share)))
                return Refuse(string.Create(CultureInfo.InvariantCulture, $"the point {share * 100:0.###} %"), $"points_of_span.{i}", At(share));
        }

        return _procedure.Preloads > 0 && isTooFar(At(1)) && Refuse("the preload, to the end of the range", "preloads", At(1));

        bool Refuse(string what, string key, Pressure target)
        {
            _errors.Add(_origins.Of(_procedure, key), $"{what} of device {_device.Name} is {Shown(target)} on bench {_bench.Name}, {found}", rule,
                "leave it out, or use another device or bench; never raise a limit for a point");
            return true;
        }
    }

    private void RateWithinBench()
    {
        double asked = _procedure.RateOfSpanPerSecond * _device.SpanPascals;
        // A hair of tolerance, since both figures went through decimal text.
        if (asked <= _bench.MaxRatePascalsPerSecond * (1 + 1e-9))
            return;
        double unit = _device.Unit.PascalsAsDouble;
        _errors.Add(_origins.Of(_procedure, "rate"),
            string.Create(CultureInfo.InvariantCulture, $"the rate is {asked / unit:0.####} {_device.Unit}/s for device {_device.Name}"),
            string.Create(CultureInfo.InvariantCulture, $"bench {_bench.Name} allows {_bench.MaxRatePascalsPerSecond / unit:0.####} {_device.Unit}/s ({_origins.Of(_bench, "max_rate").FileAndLine})"),
            string.Create(CultureInfo.InvariantCulture, $"write at most \"{_bench.MaxRatePascalsPerSecond / _device.SpanPascals * 100:0.####} % of span/s\""));
    }

    private void BandAboveResolution()
    {
        double resolution = _bench.Reference.ResolutionPascals;
        double band = _procedure.Settle.BandOfSpan * _device.SpanPascals;
        if (resolution <= 0 || band >= resolution)
            return;
        _errors.Add(_origins.Of(_procedure, "settle.band"),
            string.Create(CultureInfo.InvariantCulture, $"settle.band is {band:0.###} Pa for device {_device.Name}"),
            string.Create(CultureInfo.InvariantCulture, $"a band narrower than one step of the reference, {resolution:0.###} Pa ({_origins.Of(_bench, "reference.resolution").FileAndLine}), never settles"),
            string.Create(CultureInfo.InvariantCulture, $"write at least \"{resolution / _device.SpanPascals * 100:0.#####} % of span\""));
    }

    private Pressure At(double share)
    {
        decimal value = _device.RangeFrom.Value + ((decimal)share * (_device.RangeTo.Value - _device.RangeFrom.Value));
        return new StatedPressure(value, _device.Unit, _device.Reference).ToAbsolute(Atmosphere);
    }

    private string Shown(Pressure pressure) => string.Create(CultureInfo.InvariantCulture,
        $"{pressure.In(_device.Unit, _device.Reference, Atmosphere):0.####} {_device.Unit} {Word(_device.Reference)}");

    private static string Word(PressureReference reference) => reference == PressureReference.Gauge ? "gauge" : "absolute";
}
