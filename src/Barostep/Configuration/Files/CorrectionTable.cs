using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads a standard's <c>[correction]</c>: a table, an offset with or without a gain, or a polynomial.</summary>
internal static class CorrectionTable
{
    public static (IReadOnlyList<CorrectionPoint> Points, IReadOnlyList<double> Coefficients) Read(TableReader table, QuantityKind kind, string most)
    {
        bool isTable = table.Has("at") || table.Has("add");
        bool isLine = table.Has("offset") || table.Has("gain");
        bool isCurve = table.Has("polynomial") || table.Has("unit");
        if ((isTable ? 1 : 0) + (isLine ? 1 : 0) + (isCurve ? 1 : 0) > 1)
            table.File.Report(table.Where, "[correction] in more than one form", "a certificate gives a table (at, add), a line (offset, gain) or a curve (unit, polynomial)", "keep one of them");
        IReadOnlyList<CorrectionPoint> points = isTable || !(isLine || isCurve) ? Points(table, kind, most) : [];
        IReadOnlyList<double> line = Line(table, kind, most, isLine);
        IReadOnlyList<double> curve = isCurve ? Curve(table, kind) : [];
        foreach (string key in new[] { "at", "add", "unit", "polynomial" })
            table.Allow(key);
        table.Close();
        return (points, isLine ? line : curve);
    }

    // Corrected = gain × indication + offset, so the correction is offset + (gain − 1) × indication.
    private static IReadOnlyList<double> Line(TableReader table, QuantityKind kind, string most, bool isLine)
    {
        decimal offset = table.QuantityOr("offset", kind, $"-{most}", most, 0m);
        double gain = table.RatioOr("gain", 1, 0.5, 2);
        return isLine ? [(double)offset, gain - 1] : [];
    }

    private static IReadOnlyList<double> Curve(TableReader table, QuantityKind kind)
    {
        Dictionary<string, double> units = kind.Units.ToDictionary(pair => pair.Key, pair => (double)pair.Value, StringComparer.Ordinal);
        double? unit = table.Choice("unit", units);
        if (!table.Has("polynomial"))
            table.File.ReportMissing(table.Where, table.PathOf("polynomial"), "polynomial = [0.0001, 0.00002], lowest power first");
        IReadOnlyList<double>? coefficients = table.NumbersIfAny("polynomial", 1, "[0.0001, 0.00002]");
        return unit is { } one && coefficients is not null ? [.. coefficients.Select((c, power) => c * Math.Pow(one, 1 - power))] : [];
    }

    private static IReadOnlyList<CorrectionPoint> Points(TableReader table, QuantityKind kind, string most)
    {
        IReadOnlyList<decimal>? at = table.Quantities("at", kind, $"-{most}", most);
        IReadOnlyList<decimal>? add = table.Quantities("add", kind, $"-{most}", most);
        if (at is null || add is null)
            return [];
        if (at.Count != add.Count)
        {
            table.File.Report(table.At("add"), $"correction.add has {add.Count} values and correction.at {at.Count}",
                "every indication has its correction", "write both lists with the same number of values, in the same order");
            return [];
        }

        for (int i = 1; i < at.Count; i++)
        {
            if (at[i] <= at[i - 1])
            {
                table.File.Report(table.File.Origins.Of(table.File.File, $"correction.at.{i}"), $"correction.at.{i} is not above the indication before it",
                    "the indications rise", "sort them, and their corrections with them");
                return [];
            }
        }

        return [.. at.Zip(add, (indication, correction) => new CorrectionPoint((double)indication, (double)correction))];
    }
}
