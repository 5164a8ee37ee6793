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
        foreach (DeviceDefinition each in bench.Beside.Select(one => one.Device).Prepend(device))
        {
            check.OutputCanBeRead(each);
            check.ReferencesAgree(each);
            check.HasSomethingToDo(each);
        }

        check.OneSettlingForAll();
        check.PointsWithinLimits();
        check.RampsWithinLimits();
        check.RateWithinBench();
        check.BandAboveResolution();
        check.ByHand();
        check.Pointer();
        return check._errors.Sorted();
    }

    private Pressure Atmosphere => BenchLimits.AtmosphereOf(_bench);

    private void OutputCanBeRead(DeviceDefinition device)
    {
        // A person is at every bench that is attended.
        if (device.Output == DeviceOutput.Dial || (_bench.InputOf(device) is { } input && input.CanRead(device, _bench.Arrangement.Shunt)))
            return;
        bool ownLine = device.Output == DeviceOutput.Digital;
        (string place, FittedInstrument? reader) = ownLine ? ("device_line", _bench.DeviceLine) : ("multimeter", _bench.Multimeter);
        if (_bench.Mounted.FirstOrDefault(one => one.Device.Name == device.Name) is { } mounted)
            (place, reader) = (mounted.Input.Table, mounted.Input.Fitted);
        string output = device.Output.ToString().ToLowerInvariant();
        if (reader is null)
        {
            _errors.Add(_origins.Of(device, "output.kind"), $"output.kind = \"{output}\" on bench {_bench.Name}, which has no [{place}]",
                "a device needs the instrument that reads it", $"add [{place}] to {SourceMap.FileOf(_bench)} or choose another bench");
        }
        else
        {
            _errors.Add(_origins.Of(_bench, $"{place}.instrument"), $"{reader.Definition.Name} cannot read the {output} of device {device.Name}",
                "the instrument reads what the device gives out", "fit one that can, or add the exchange to its file");
        }
    }

    private void ReferencesAgree(DeviceDefinition device)
    {
        if (_bench.AtmosphereStated)
            return;
        foreach (FittedInstrument fitted in new[] { _bench.Source ?? _bench.Reference, _bench.Reference })
        {
            if (fitted.Definition.PressureReferenceTold is not { } told || told == device.Reference)
                continue;
            _errors.Add(_origins.Of(device, "range_from"), $"device {device.Name} is {Word(device.Reference)} and {fitted.Definition.Name} tells {Word(told)} pressure",
                "gauge and absolute are compared only through a stated atmosphere", $"write atmosphere = \"1013.25 hPa absolute\" with the bench's own value in {SourceMap.FileOf(_bench)}");
            return;
        }
    }

    private void HasSomethingToDo(DeviceDefinition device)
    {
        if (device.Output == DeviceOutput.Contact)
        {
            if (_procedure.SwitchTest is null)
            {
                _errors.Add(_origins.Of(device, "output.kind"), $"device {device.Name} is a pressure switch and procedure {_procedure.Name} has no [switch_test]",
                    "a switch is tested by ramps", $"add [switch_test] to {SourceMap.FileOf(_procedure)} or use another procedure");
            }

            return;
        }

        int points = SharedSeries.Seen(_procedure, _device, device, Atmosphere).PointsOfSpan.Count;
        if (points < (device == _device ? 1 : 2))
        {
            _errors.Add(_origins.Of(_procedure, "points_of_span"), $"{points} of the points of procedure {_procedure.Name}, laid out for {_device.Name}, lie in the range of device {device.Name}",
                "a point is read on the leading device, two or more on each of the others", "use another procedure, or calibrate the devices one by one");
        }
    }

    private void OneSettlingForAll()
    {
        if (!_bench.Beside.Any() || _procedure.Settle.Rest is null)
            return;
        _errors.Add(_origins.Of(_procedure, "settle.rest_of_tolerance"), $"settle.rest_of_tolerance with {_bench.Mounted.Count} devices on the manifold",
            "the rest of the error is predicted for one device alone", "use a procedure with band, window and slope, or calibrate the devices one by one");
    }

    private void RampsWithinLimits()
    {
        DeviceDefinition[] devices = [_device, .. _bench.Beside.Select(one => one.Device)];
        PressureLimit top = BenchLimits.Ceilings(_bench, _device, _origins)[0];
        PressureLimit bottom = BenchLimits.Floors(_bench, _device, _origins)[0];
        Pressure most = top.Absolute - BenchLimits.SetPointMargin(_bench, top.Absolute);
        if (_bench.Person is not null && devices.Any(device => device.Contact is not null))
        {
            _errors.Add(_origins.Of(_device, "output.kind"), $"a pressure switch on bench {_bench.Name}, where a person makes the pressure",
                "a ramp is slow and even, and a hand on a pump is neither", "use a bench with a controller");
            return;
        }

        PlannedStep? passing = SwitchRamps.For(_procedure, devices, Atmosphere).FirstOrDefault(step => step.Target > most || step.Target < bottom.Absolute);
        if (passing is null)
            return;
        DeviceDefinition tested = devices[passing.Device];
        string limit = passing.Target > most ? $"above {Shown(most)}, which is the {top.Name} less the set-point margin" : $"below the {bottom.Name}, {bottom.Stated}";
        _errors.Add(_origins.Of(_procedure, "switch_test.margin"), $"a ramp of switch {tested.Name} goes to {Shown(passing.Target)}, {limit}",
            "no set point passes any limit", "write a smaller margin, or use another bench");
    }

    private void PointsWithinLimits()
    {
        PressureLimit bottom = BenchLimits.Floors(_bench, _device, _origins)[0];
        PressureLimit weakest = BenchLimits.Ceilings(_bench, null, _origins)[0];
        PressureLimit rating = BenchLimits.Ceilings(_bench, _device, _origins).First(limit => limit.Stated == _device.Rating);
        // A switch has ramps in place of points.
        if (_device.Output == DeviceOutput.Contact)
            return;
        bool passed = FirstPoint(
            target => target > weakest.Absolute, $"above the {weakest.Name}, {weakest.Stated} ({weakest.Origin.FileAndLine})", "no set point passes any limit");
        passed |= FirstPoint(
            target => target > rating.Absolute, $"above its rating, {rating.Stated} ({_origins.Of(_device, "rating").FileAndLine})", "no set point passes any limit");
        foreach (MountedDevice beside in _bench.Beside)
        {
            Pressure most = beside.Device.Rating.ToAbsolute(Atmosphere);
            passed = passed || FirstPoint(
                target => target > most, $"above the rating of device {beside.Device.Name}, {beside.Device.Rating} ({_origins.Of(beside.Device, "rating").FileAndLine})", "no set point passes any limit");
        }

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
