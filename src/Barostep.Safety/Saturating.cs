namespace Barostep.Safety;

/// <summary>Whole-number arithmetic that stops at its ends: a wrapped sum would turn the largest pressure into the smallest.</summary>
internal static class Saturating
{
    public static long Add(long a, long b) => Clamp((Int128)a + b);

    public static long Subtract(long a, long b) => Clamp((Int128)a - b);

    public static long Magnitude(long a) => a == long.MinValue ? long.MaxValue : Math.Abs(a);

    /// <summary>|a − b|.</summary>
    public static long Distance(long a, long b) => Magnitude(Subtract(a, b));

    /// <summary>a·b/c, rounded towards zero; <paramref name="c"/> must be above zero.</summary>
    public static long Scale(long a, long b, long c) => Clamp((Int128)a * b / c);

    private static long Clamp(Int128 value) =>
        value > long.MaxValue ? long.MaxValue : value < long.MinValue ? long.MinValue : (long)value;
}
