using System.Globalization;

namespace Barostep.Evaluation;

/// <summary>Numbers as a result shows them: as many decimals as the limit deserves, and no negative zero.</summary>
public static class ResultFormat
{
    /// <summary>Stands where a figure is not known.</summary>
    public const string Unknown = "–";

    private const int MostDecimals = 9;

    /// <summary>Decimals with which a limit shows three significant digits, so that the last one is well below the limit.</summary>
    public static int DecimalsFor(double limit) => Decimals(limit, significant: 3);

    /// <summary>Decimals with which a standard uncertainty shows two significant digits (GUM 7.2.6).</summary>
    public static int DecimalsForUncertainty(double uncertainty) => Decimals(uncertainty, significant: 2);

    public static string Plain(double? value, int decimals)
    {
        if (value is not { } number)
            return Unknown;
        string text = number.ToString($"F{decimals}", CultureInfo.InvariantCulture);
        return IsZero(text) ? text.TrimStart('-') : text;
    }

    /// <summary>With its sign, except where all digits are zero.</summary>
    public static string Signed(double? value, int decimals)
    {
        string text = Plain(value, decimals);
        return value > 0 && !IsZero(text) ? $"+{text}" : text;
    }

    /// <summary>As <see cref="Signed"/>, giving up decimals where the figure would not fit: a wild error needs none.</summary>
    public static string Within(int width, double? value, int decimals)
    {
        string text = Signed(value, decimals);
        while (text.Length > width && decimals > 0)
            text = Signed(value, --decimals);
        return text;
    }

    private static int Decimals(double size, int significant)
    {
        if (size <= 0 || !double.IsFinite(size))
            return significant;
        return Math.Clamp(significant - 1 - (int)Math.Floor(Math.Log10(size)), 0, MostDecimals);
    }

    private static bool IsZero(string text) => text.AsSpan().IndexOfAnyInRange('1', '9') < 0;
}
