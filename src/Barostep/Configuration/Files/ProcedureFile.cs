using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Procedures;
using Barostep.Procedures.Settling;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>procedures/NAME.toml</c>.</summary>
internal static class ProcedureFile
{
    private static readonly Dictionary<string, TimeoutPolicy> Timeouts = new(StringComparer.Ordinal)
    {
        ["flag"] = TimeoutPolicy.Flag,
        ["abort"] = TimeoutPolicy.Abort,
    };

    private static readonly Dictionary<string, OvershootPolicy> Overshoots = new(StringComparer.Ordinal)
    {
        ["again"] = OvershootPolicy.Again,
        ["flag"] = OvershootPolicy.Flag,
        ["avoid"] = OvershootPolicy.Avoid,
    };

    private static readonly Dictionary<string, PointerMethod> Pointers = new(StringComparer.Ordinal)
    {
        ["read"] = PointerMethod.Read,
        ["set on mark"] = PointerMethod.SetOnMark,
    };

    /// <summary>The procedure, or null where a value could not be read.</summary>
    public static Procedure? Read(string name, TableReader file)
    {
        string? title = file.Text("title", "Five points, up and down");
        // A procedure for switches alone has no points.
        bool hasPoints = file.Has("points_of_span") || !file.Has("switch_test");
        IReadOnlyList<decimal>? points = hasPoints ? file.Quantities("points_of_span", QuantityKind.Share, "0 %", "100 %") : [];
        bool? descending = hasPoints ? file.Truth("descending") : file.TruthOr("descending", false);
        long? cycles = hasPoints || file.Has("cycles") ? file.Whole("cycles", 1, 20) : 1;
        bool lastRises = file.TruthOr("last_cycle_rises_only", false);
        decimal topHold = file.QuantityOr("top_hold", QuantityKind.Time, "0 s", "1 h", 0m);
        long? preloads = file.Whole("preloads", 0, 10);
        decimal? hold = file.Quantity("preload_hold", QuantityKind.Time, "0 s", "1 h");
        PointerMethod pointer = file.ChoiceIfAny("pointer", Pointers) ?? PointerMethod.Read;
        bool? readZero = file.Truth("read_zero");
        decimal? rate = file.Quantity("rate", QuantityKind.RateOfSpan, "0.01 % of span/s", "100 % of span/s");
        long? samples = file.Whole("samples", 2, 10_000);
        decimal? interval = file.Quantity("sample_interval", QuantityKind.Time, "10 ms", "1 min");
        string? confirmation = file.TextIfAny("confirmation", "Fitting tight, hose restrained, relief valve tested?");
        (int remountBefore, int remountPreloads) = file.TableIfAny("remount") is { } remount ? ReadRemount(remount, cycles) : (0, 0);
        (IReadOnlyList<decimal> again, int repeats) = file.TableIfAny("repeat") is { } repeat ? ReadRepeat(repeat, points) : ([], 0);
        LeakTest? leak = file.TableIfAny("leak_test") is { } leakTable ? ReadLeakTest(leakTable) : null;
        SwitchTest? switches = file.TableIfAny("switch_test") is { } ramp ? ReadSwitchTest(ramp) : null;
        StabilityCriterion? settle = file.Table("settle") is { } inner ? ReadSettle(inner) : null;
        TableReader? overshoot = file.Table("overshoot");
        decimal? passed = overshoot?.Quantity("limit", QuantityKind.ShareOfSpan, "0.001 % of span", "10 % of span");
        OvershootPolicy? onOvershoot = overshoot?.Choice("action", Overshoots);
        overshoot?.Close();
        file.Allow("points_of_span");
        file.Allow("cycles");
        file.Close();
        CheckRising(file, points, "points_of_span");
        if (lastRises && descending == false)
        {
            file.File.ReportKeepingUsable(file.At("last_cycle_rises_only"), "last_cycle_rises_only beside descending = false",
                "only a procedure that descends has a cycle that does not", "delete it, or write descending = true");
        }

        if (!file.File.IsUsable)
            return null;

        return new Procedure
        {
            Name = name,
            Title = title!,
            Confirmation = confirmation,
            LeakTest = leak,
            SwitchTest = switches,
            PointsOfSpan = [.. points!.Select(point => (double)point)],
            Descending = descending!.Value,
            Cycles = (int)cycles!.Value,
            LastCycleRisesOnly = lastRises,
            RemountBeforeCycle = remountBefore,
            RemountPreloads = remountPreloads,
            RepeatPointsOfSpan = [.. again.Select(point => (double)point)],
            Repeats = repeats,
            TopHoldMicros = (long)topHold,
            Preloads = (int)preloads!.Value,
            PreloadHoldMicros = (long)hold!.Value,
            ReadZero = readZero!.Value,
            RateOfSpanPerSecond = (double)rate!.Value,
            Settle = settle!,
            Samples = (int)samples!.Value,
            SampleIntervalMicros = (long)interval!.Value,
            OvershootOfSpan = (double)passed!.Value,
            OnOvershoot = onOvershoot!.Value,
            Pointer = pointer,
        };
    }

    private static (int Before, int Preloads) ReadRemount(TableReader remount, long? cycles)
    {
        long before = remount.Whole("before_cycle", 2, 20) ?? 0;
        long preloads = remount.Whole("preloads", 0, 10) ?? 0;
        remount.Close();
        if (cycles is { } last && before > last)
        {
            remount.File.ReportKeepingUsable(remount.At("before_cycle"), $"remount.before_cycle = {before} of {last} cycles",
                "the device is mounted again between two cycles", "write a cycle that there is, or more cycles");
        }

        return ((int)before, (int)preloads);
    }

    private static (IReadOnlyList<decimal> Points, int Times) ReadRepeat(TableReader repeat, IReadOnlyList<decimal>? points)
    {
        IReadOnlyList<decimal> again = repeat.Quantities("points_of_span", QuantityKind.Share, "0 %", "100 %") ?? [];
        long times = repeat.Whole("times", 1, 10) ?? 0;
        repeat.Close();
        CheckRising(repeat, again, "points_of_span");
        for (int i = 0; i < again.Count; i++)
        {
            if (points is null || points.Contains(again[i]))
                continue;
            string key = repeat.PathOf($"points_of_span.{i}");
            repeat.File.ReportKeepingUsable(repeat.File.Origins.Of(repeat.File.File, key), $"{key} is no point of the series",
                "what is repeated was taken before", "write one of points_of_span, or add the point there");
        }

        return (again, (int)times);
    }

    private static LeakTest? ReadLeakTest(TableReader leak)
    {
        decimal? pressure = leak.Quantity("pressure", QuantityKind.ShareOfSpan, "1 % of span", "100 % of span");
        decimal? settle = leak.Quantity("settle", QuantityKind.Time, "0 s", "1 h");
        decimal? hold = leak.Quantity("hold", QuantityKind.Time, "2 s", "1 h");
        decimal? limit = leak.Quantity("limit", QuantityKind.RateOfSpan, "0.000001 % of span/s", "1 % of span/s");
        leak.Close();
        return pressure is { } p && settle is { } s && hold is { } h && limit is { } l
            ? new LeakTest((double)p, (long)s, (long)h, (double)l * 60)
            : null;
    }

    private static SwitchTest? ReadSwitchTest(TableReader test)
    {
        decimal? rate = test.Quantity("rate", QuantityKind.RateOfSpan, "0.001 % of span/s", "1 % of span/s");
        long? repeats = test.Whole("repeats", 1, 20);
        decimal? margin = test.Quantity("margin", QuantityKind.ShareOfSpan, "0.1 % of span", "50 % of span");
        test.Close();
        return rate is { } r && repeats is { } n && margin is { } m ? new SwitchTest((double)r, (int)n, (double)m) : null;
    }

    private static StabilityCriterion? ReadSettle(TableReader settle)
    {
        decimal? band = settle.Quantity("band", QuantityKind.ShareOfSpan, "0.0001 % of span", "10 % of span");
        decimal? window = settle.Quantity("window", QuantityKind.Time, "500 ms", "10 min");
        decimal? rest = settle.QuantityIfAny("rest_of_tolerance", QuantityKind.Share, "1 %", "50 %");
        const string LeastSlope = "0.00001 % of span/s";
        const string MostSlope = "10 % of span/s";
        decimal? slope = rest is null
            ? settle.Quantity("slope", QuantityKind.RateOfSpan, LeastSlope, MostSlope)
            : settle.QuantityIfAny("slope", QuantityKind.RateOfSpan, LeastSlope, MostSlope);
        decimal? dwell = settle.Quantity("min_dwell", QuantityKind.Time, "0 s", "1 h");
        decimal? timeout = settle.Quantity("timeout", QuantityKind.Time, "1 s", "4 h");
        TimeoutPolicy? onTimeout = settle.Choice("on_timeout", Timeouts);
        settle.Close();
        if (rest is not null && slope is not null)
        {
            settle.File.ReportKeepingUsable(settle.At("slope"), "settle has both slope and rest_of_tolerance",
                "a point is read when the pressure is still, or when the rest of the error is small, not by two measures", "keep one of the two lines");
        }

        if (timeout <= window || timeout <= dwell)
        {
            settle.File.ReportKeepingUsable(settle.At("timeout"), "settle.timeout is not longer than the window and the least dwell",
                "a point that settles at once still needs both", "write a longer time-out, for example \"180 s\"");
        }

        return band is { } b && window is { } w && (slope ?? (rest is null ? null : 0)) is { } s && dwell is { } d && timeout is { } t && onTimeout is { } policy
            ? new StabilityCriterion((double)b, (long)w, (double)s, (long)d, (long)t, policy, rest is { } r ? new PredictedRest((double)r) : null)
            : null;
    }

    private static void CheckRising(TableReader file, IReadOnlyList<decimal>? points, string list)
    {
        for (int i = 1; i < points?.Count; i++)
        {
            if (points[i] > points[i - 1])
                continue;
            string key = file.PathOf($"{list}.{i}");
            file.File.ReportKeepingUsable(file.File.Origins.Of(file.File.File, key), $"{key} is not above the point before it",
                "the points rise; the descending series comes from descending = true", "sort them and write each once");
        }
    }
}
