using Barostep.Evaluation;

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
        return figures;
    }
}
