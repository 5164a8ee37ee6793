using Barostep.Evaluation;
using Barostep.Evaluation.Switching;
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
        if (result.Switching is null)
        {
            Add("Repeatability, ascending", result.Repeatability.AscendingOfSpan);
            Add("Repeatability, descending", result.Repeatability.DescendingOfSpan);
        }

        figures.AddRange(SwitchText.Of(result).Select(line => new SeriesFigure(line.Name, line.Text.Replace('-', '−'))));
        Add("Zero before the series", result.Zero.BeforeOfSpan);
        Add("Zero after the series", result.Zero.AfterOfSpan);
        Add("Zero shift", result.Zero.ShiftOfSpan);
        AddDecision(figures, result);
        if (result.Record.LeakTest is { } leak)
            figures.Add(new SeriesFigure("Leak test", InWords(leak, result.Record.Device.Unit)));
        return figures;
    }

    private static void AddDecision(List<SeriesFigure> figures, RunResult result)
    {
        PointResult[] decided = [.. result.Points.Where(point => point.Decision is not null)];
        if (decided.Length == 0)
            return;
        double span = result.Record.Device.SpanPascals;
        PointResult least = decided.MinBy(point => point.LimitOfSpan * span / point.Uncertainty!.Value)!;
        figures.Add(new SeriesFigure("Least test uncertainty ratio", Wording.Invariant($"L/U = {least.LimitOfSpan * span / least.Uncertainty!.Value:0.0}, at point {least.Index}")));
        PointResult riskiest = decided.MaxBy(point => point.Decision!.RiskOfBeingWrong)!;
        string wrong = riskiest.Conformity == Conformity.Passed ? "false accept" : "false reject";
        figures.Add(new SeriesFigure("Decision most in doubt", Wording.Invariant($"point {riskiest.Index}, wrong ({wrong}) with a probability of {DecisionTable.Risk(riskiest.Decision!.RiskOfBeingWrong)}")));
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
