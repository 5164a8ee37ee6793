using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Certificates;

/// <summary>The figures that describe a whole series; one that is not known is left out.</summary>
internal static class SeriesFigures
{
    public static IReadOnlyList<SeriesFigure> Of(RunResult result)
    {
        int decimals = ResultFormat.DecimalsFor(result.Record.Device.ToleranceOfSpan * 100);
        string Share(double ofSpan) => $"{ResultFormat.Signed(ofSpan * 100, decimals).Replace('-', '−')} % of span";

        List<SeriesFigure> figures = [];
        void Add(string name, double? ofSpan)
        {
            if (ofSpan is { } known)
                figures.Add(new SeriesFigure(name, Share(known)));
        }

        if (result.LargestError is { Values: { } values } worst)
            figures.Add(new SeriesFigure("Largest error", Wording.Invariant($"{Share(values.ErrorOfSpan)}, at point {worst.Index}")));
        if (result.LargestHysteresisOfSpan is { } hysteresis)
            figures.Add(new SeriesFigure("Largest hysteresis", $"{Share(hysteresis)}, down less up"));
        Add("Repeatability, ascending", result.Repeatability.AscendingOfSpan);
        Add("Repeatability, descending", result.Repeatability.DescendingOfSpan);
        Add("Zero before the series", result.Zero.BeforeOfSpan);
        Add("Zero after the series", result.Zero.AfterOfSpan);
        Add("Zero shift", result.Zero.ShiftOfSpan);
        if (result.Record.LeakTest is { } leak)
            figures.Add(new SeriesFigure("Leak test", InWords(leak, result.Record.Device.Unit)));
        return figures;
    }

    private static string InWords(LeakTestRecord leak, PressureUnit unit)
    {
        int decimals = ResultFormat.DecimalsFor(leak.LimitPascalsPerSecond);
        string rate = ResultFormat.Signed(leak.RatePascalsPerSecond, decimals).Replace('-', '−');
        string limit = ResultFormat.Plain(leak.LimitPascalsPerSecond, decimals);
        string where = $"{Wording.Short(leak.PressurePascals / unit.PascalsAsDouble)} {unit} over {Wording.Short(leak.HoldMicros / 1e6)} s";
        return $"{rate} Pa/s at {where}, limit ±{limit} Pa/s: {(leak.Tight ? "tight" : "not tight")}";
    }
}
