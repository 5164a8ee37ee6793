using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Configuration.Checks;

/// <summary>What must hold between the parts of one bench.</summary>
internal sealed class BenchCheck
{
    // The kernel counts on hearing the source's own sensor 5 times a second.
    private const long SourcePeriodMicros = 200_000;

    private readonly BenchDefinition _bench;
    private readonly SourceMap _origins;
    private readonly ErrorList _errors;

    private BenchCheck(BenchDefinition bench, SourceMap origins, ErrorList errors)
    {
        _bench = bench;
        _origins = origins;
        _errors = errors;
    }

    /// <summary>Notes what is wrong; false where floor, atmosphere and ceiling contradict each other.</summary>
    public static bool Check(BenchDefinition bench, SourceMap origins, ErrorList errors)
    {
        var check = new BenchCheck(bench, origins, errors);
        check.OneReference();
        check.CeilingBelowEveryLimit();
        check.FloorAboveEveryLimit();
        bool ordered = check.FloorAtmosphereCeiling();
        check.RateOfWeakestPart();
        check.PollFitsPeriod("reference", bench.Reference, bench.PeriodMicros);
        if (bench.Source is { } source)
            check.PollFitsPeriod("source", source, Math.Max(bench.PeriodMicros, SourcePeriodMicros));
        return ordered;
    }

    private Pressure Atmosphere => BenchLimits.AtmosphereOf(_bench);

    private void OneReference()
    {
        PressureReference wanted = _bench.Ceiling.Reference;
        foreach (BenchPart part in _bench.Parts.Where(part => part.Rating.Reference != wanted))
        {
            Refuse($"part.{part.Name}.rating", $"part.{part.Name}.rating = {part.Rating} beside ceiling = {_bench.Ceiling}",
                "the upper limits of a bench are all gauge or all absolute", $"write it {Word(wanted)}");
        }

        if (_bench.AtmosphereStated)
            return;
        foreach ((string place, FittedInstrument fitted) in new[] { ("source", _bench.Source ?? _bench.Reference), ("reference", _bench.Reference) })
        {
            if (fitted.Definition.RangeTo is { } range && range.Reference != wanted)
            {
                Refuse($"{place}.instrument", $"the range of {fitted.Definition.Name} is {Word(range.Reference)} and the ceiling {Word(wanted)}",
                    "gauge and absolute are compared only through a stated atmosphere", "write atmosphere = \"1013.25 hPa absolute\" with the bench's own value");
            }
        }
    }

    private void CeilingBelowEveryLimit()
    {
        Pressure ceiling = _bench.Ceiling.ToAbsolute(Atmosphere);
        foreach (PressureLimit limit in BenchLimits.Ceilings(_bench, null, _origins).Where(limit => limit.Absolute < ceiling))
        {
            Refuse("ceiling", $"ceiling = {_bench.Ceiling} is above the {limit.Name}, {limit.Stated} ({limit.Origin.FileAndLine})",
                "the ceiling is not above the weakest part", $"write ceiling = \"{limit.Stated}\" or less");
        }
    }

    private void FloorAboveEveryLimit()
    {
        Pressure floor = _bench.Floor.ToAbsolute(Atmosphere);
        foreach (PressureLimit limit in BenchLimits.Floors(_bench, null, _origins).Where(limit => limit.Absolute > floor))
        {
            Refuse("floor", $"floor = {_bench.Floor} is below the {limit.Name}, {limit.Stated} ({limit.Origin.FileAndLine})",
                "the floor is not below what each part stands", $"write floor = \"{limit.Stated}\" or more");
        }
    }

    private bool FloorAtmosphereCeiling()
    {
        Pressure floor = _bench.Floor.ToAbsolute(Atmosphere);
        Pressure ceiling = _bench.Ceiling.ToAbsolute(Atmosphere);
        int before = _errors.Count;
        if (floor >= ceiling)
            Refuse("floor", $"floor = {_bench.Floor} is not below ceiling = {_bench.Ceiling}", "the floor lies below the ceiling", "exchange the two or correct one");
        else if (floor >= Atmosphere)
            Refuse("floor", $"floor = {_bench.Floor} is not below the atmosphere", "a vented bench lies above its floor, with room for the sensor's noise", "write for example \"-0.2 bar gauge\"");
        if (ceiling <= Atmosphere)
            Refuse("ceiling", $"ceiling = {_bench.Ceiling} is not above the atmosphere", "a vented bench lies below its ceiling", "write \"gauge\" if it counts from the atmosphere");
        else if (_bench.SetPointMargin is { } margin && ceiling - margin <= Atmosphere)
            Refuse("set_point_margin", "set_point_margin leaves nothing below the ceiling", "set points lie between atmosphere and ceiling less the margin", "write about 2 % of the ceiling");
        return _errors.Count == before;
    }

    private void RateOfWeakestPart()
    {
        foreach (BenchPart part in _bench.Parts.Where(part => part.MaxRatePascalsPerSecond < _bench.MaxRatePascalsPerSecond))
        {
            Refuse("max_rate", $"max_rate is above that of part {part.Name} ({_origins.Of(_bench, $"part.{part.Name}.max_rate").FileAndLine})",
                "a bench is not driven faster than its weakest part stands", "write the smaller of the two");
        }
    }

    private void PollFitsPeriod(string place, FittedInstrument fitted, long periodMicros)
    {
        long least = ExchangeTime.LeastMicros(fitted, Capability.ReadPressure);
        if (least <= periodMicros)
            return;
        int baud = fitted.Baud ?? fitted.Definition.Line.Baud;
        string key = fitted.Baud is null ? "instrument" : "baud";
        Refuse($"{place}.{key}", $"one reading of the {place} takes {(least + 999) / 1000} ms at {baud} baud",
            $"a reading fits the {periodMicros / 1000} ms between two readings", $"raise the speed of the line, at the instrument and as {place}.baud");
    }

    private void Refuse(string key, string found, string rule, string instead) =>
        _errors.Add(_origins.Of(_bench, key), found, rule, instead);

    private static string Word(PressureReference reference) => reference == PressureReference.Gauge ? "gauge" : "absolute";
}
