using System.Globalization;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>Whether a procedure may be run on a device on a bench; asked before any port is opened.</summary>
public sealed class RunCheck
{
    /// <summary>Of the span: one turn of a fine screw, and the gas that cools after it (trade practice).</summary>
    private const double LeastBandByHand = 0.002;

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
        check.ByHand();
        check.Pointer();
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
            // A person is at every bench that is attended.
            DeviceOutput.Dial => ("reference", _bench.Reference, Capability.ReadPressure),
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
        foreach (FittedInstrument fitted in new[] { _bench.Source ?? _bench.Reference, _bench.Reference })
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

    /// <summary>What a person can do at a pump.</summary>
    private void ByHand()
    {
        if (_bench.Person is null || _procedure.Settle.BandOfSpan >= LeastBandByHand)
            return;
        _errors.Add(_origins.Of(_procedure, "settle.band"),
            string.Create(CultureInfo.InvariantCulture, $"settle.band is {_procedure.Settle.BandOfSpan * 100:0.####} % of span, and on bench {_bench.Name} a person makes the pressure"),
            string.Create(CultureInfo.InvariantCulture, $"a hand on a pump keeps a pressure within {LeastBandByHand * 100:0.#} % of span, not closer"),
            "write at least \"0.2 % of span\", or use a procedure for a hand pump; the error is reckoned from the reference, not from the nominal");
    }

    /// <summary>What a person can tell from a pointer.</summary>
    private void Pointer()
    {
        bool onMark = _procedure.Pointer == PointerMethod.SetOnMark;
        if (_device.Dial is null)
        {
            if (onMark)
            {
                _errors.Add(_origins.Of(_procedure, "pointer"), $"pointer = \"set on mark\" for device {_device.Name}, which is no dial gauge",
                    "only a pointer is brought to a mark", "use another procedure, or write kind = \"dial\" in the device's file");
            }

            return;
        }

        if (_procedure.Settle.Rest is not null)
        {
            _errors.Add(_origins.Of(_procedure, "settle.rest_of_tolerance"), $"settle.rest_of_tolerance for dial gauge {_device.Name}",
                "the rest of an error is foretold from readings that come by themselves, and a person gives none", "write slope in its place, or use another procedure");
        }

        if (onMark && _bench.Person is null)
        {
            _errors.Add(_origins.Of(_procedure, "pointer"), $"pointer = \"set on mark\" on bench {_bench.Name}, whose pressure no person makes",
                "a person brings the pointer to the mark with the pump's fine screw", "use a procedure with pointer = \"read\"");
        }

        double least = _device.ToleranceOfSpan;
        if (onMark && Math.Min(_procedure.Settle.BandOfSpan, _procedure.OvershootOfSpan) < least)
        {
            _errors.Add(_origins.Of(_procedure, "settle.band"),
                string.Create(CultureInfo.InvariantCulture, $"settle.band or overshoot.limit is below the permissible error of device {_device.Name}, {least * 100:0.##} % of span"),
                "with the pointer on the mark the pressure is off by the error of the gauge",
                string.Create(CultureInfo.InvariantCulture, $"write at least \"{least * 100:0.##} % of span\" for both"));
        }
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
