using System.Globalization;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>A value and its expanded uncertainty as they are printed: U to two significant digits, the value to match.</summary>
/// <remarks>
/// GUM 7.2.6. Rounding is to the nearest in decimal, halves to the even digit (ISO 80000-1 annex B, rule A), of the
/// shortest decimal that is the double. At two significant digits it never takes more than 5 % off an uncertainty, so
/// that rounding up is never called for.
/// </remarks>
/// <param name="Decimals">Decimals that both are rounded to; negative for tens (−1), hundreds (−2) and so on.</param>
public sealed record StatedResult(decimal Value, decimal Uncertainty, int Decimals)
{
    /// <exception cref="ArgumentOutOfRangeException">The uncertainty is not above 0.</exception>
    public static StatedResult Of(double value, double expandedUncertainty)
    {
        if (!(expandedUncertainty > 0) || !double.IsFinite(expandedUncertainty))
            throw new ArgumentOutOfRangeException(nameof(expandedUncertainty), expandedUncertainty, "an uncertainty is above 0");

        decimal exact = (decimal)expandedUncertainty;
        int decimals = DecimalsOfTwoDigits(exact);
        decimal rounded = Round(exact, decimals);
        // 0.0996 becomes 0.100: that is three digits, so one decimal fewer says the same.
        decimals = DecimalsOfTwoDigits(rounded);
        return new StatedResult(Round((decimal)value, decimals), rounded, decimals);
    }

    public string ValueText => Text(Value);

    public string UncertaintyText => Text(Uncertainty);

    private static int DecimalsOfTwoDigits(decimal value)
    {
        int decimals = 0;
        for (; value >= 100m; value /= 10m)
            decimals--;
        for (; value < 10m; value *= 10m)
            decimals++;
        return decimals;
    }

    private static decimal Round(decimal value, int decimals)
    {
        if (decimals >= 0)
            return decimal.Round(value, Math.Min(decimals, 28), MidpointRounding.ToEven);
        decimal unit = 1m;
        for (int i = 0; i > decimals; i--)
            unit *= 10m;
        return decimal.Round(value / unit, MidpointRounding.ToEven) * unit;
    }

    private string Text(decimal value) => value.ToString($"F{Math.Max(0, Decimals)}", CultureInfo.InvariantCulture);
}
