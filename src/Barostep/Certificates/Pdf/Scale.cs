using System.Globalization;

namespace Barostep.Certificates.Pdf;

/// <summary>A linear axis with marks at round numbers.</summary>
/// <param name="From">Value at <paramref name="AtFrom"/>.</param>
/// <param name="AtFrom">Place on the page, points.</param>
internal sealed record Scale(double From, double To, double AtFrom, double AtTo)
{
    public double At(double value) => AtFrom + ((value - From) / (To - From) * (AtTo - AtFrom));

    /// <summary>Round values within the axis, about as many as asked for, with the text that belongs to each.</summary>
    public IReadOnlyList<(double Value, string Text)> Marks(int about)
    {
        double step = RoundStep((To - From) / about);
        int decimals = Math.Clamp(-(int)Math.Floor(Math.Log10(step) + 1e-9), 0, 12);
        List<(double, string)> marks = [];
        for (double i = Math.Ceiling((From / step) - 1e-9); i * step <= To + (1e-9 * step); i++)
            marks.Add((i * step, TextOf(i * step, decimals)));
        return marks;
    }

    private static string TextOf(double value, int decimals)
    {
        string text = value.ToString($"F{decimals}", CultureInfo.InvariantCulture);
        return (text.AsSpan().IndexOfAnyInRange('1', '9') < 0 ? text.TrimStart('-') : text).Replace('-', '−');
    }

    private static double RoundStep(double least)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(least)));
        double share = least / power;
        return power * (share <= 1 ? 1 : share <= 2 ? 2 : share <= 5 ? 5 : 10);
    }
}
