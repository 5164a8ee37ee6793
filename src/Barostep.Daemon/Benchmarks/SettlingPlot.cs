using System.Globalization;
using System.Net;
using System.Text;

namespace Barostep.Daemon.Benchmarks;

/// <summary>Draws time against bias, one mark a rule: to the left is faster, below is truer.</summary>
internal static class SettlingPlot
{
    private const int Width = 760;
    private const int Height = 440;
    private const int Left = 80;
    private const int Bottom = 380;
    private const int Right = 730;
    private const int Top = 30;

    public static string Svg(IReadOnlyList<SettlingRow> rows, double bound)
    {
        double mostTime = 1.1 * rows.Max(row => row.TimeRatio);
        double mostBias = Math.Max(1, rows.Max(row => row.Percentile999)) * 1.2;
        const double LeastBias = 0.01;
        double X(double ratio) => Left + ((Right - Left) * Math.Log(ratio / 0.9) / Math.Log(mostTime / 0.9));
        double Y(double bias) => Bottom - ((Bottom - Top) * Math.Log(Math.Max(bias, LeastBias) / LeastBias) / Math.Log(mostBias / LeastBias));
        var svg = new StringBuilder();
        svg.AppendLine(CultureInfo.InvariantCulture, $"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {Width} {Height}" font-family="sans-serif" font-size="14">""");
        svg.AppendLine("""<rect width="100%" height="100%" fill="white"/>""");
        svg.AppendLine(CultureInfo.InvariantCulture, $"""<path d="M{Left} {Top}V{Bottom}H{Right}" fill="none" stroke="#444"/>""");
        foreach (double tick in (double[])[1, 1.5, 2, 3, 5, 8, 12])
        {
            if (tick < mostTime)
                svg.AppendLine(CultureInfo.InvariantCulture, $"""<path d="M{X(tick):F1} {Bottom}v6" stroke="#444"/><text x="{X(tick):F1}" y="{Bottom + 22}" text-anchor="middle">{tick:0.#}</text>""");
        }

        foreach (double tick in (double[])[0.01, 0.03, 0.1, 0.3, 1])
        {
            if (tick < mostBias)
                svg.AppendLine(CultureInfo.InvariantCulture, $"""<path d="M{Left} {Y(tick):F1}h-6" stroke="#444"/><text x="{Left - 10}" y="{Y(tick) + 5:F1}" text-anchor="end">{tick:P0}</text>""");
        }

        svg.AppendLine(CultureInfo.InvariantCulture, $"""<path d="M{Left} {Y(bound):F1}H{Right}" stroke="#b00020" stroke-dasharray="6 4"/><text x="{Right}" y="{Y(bound) - 6:F1}" text-anchor="end" fill="#b00020">bound</text>""");
        foreach (SettlingRow row in rows)
        {
            svg.AppendLine(CultureInfo.InvariantCulture, $"""<circle cx="{X(row.TimeRatio):F1}" cy="{Y(row.Percentile999):F1}" r="6" fill="#00539c"/><text x="{X(row.TimeRatio) + 11:F1}" y="{Y(row.Percentile999) - 8:F1}">{WebUtility.HtmlEncode(row.Name)}</text>""");
        }

        svg.AppendLine(CultureInfo.InvariantCulture, $"""<text x="{(Left + Right) / 2}" y="{Height - 12}" text-anchor="middle">time of a sweep, as a ratio to one who knows the truth</text>""");
        svg.AppendLine(CultureInfo.InvariantCulture, $"""<text transform="translate(20 {(Top + Bottom) / 2}) rotate(-90)" text-anchor="middle">settling bias, 99.9th percentile, share of tolerance</text>""");
        svg.AppendLine("</svg>");
        return svg.ToString();
    }
}
