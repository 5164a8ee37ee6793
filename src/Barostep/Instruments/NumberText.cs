using System.Globalization;

namespace Barostep.Instruments;

/// <summary>Numbers as instruments write them: NR1, NR2 and NR3 of IEEE 488.2, read forgivingly (NRf).</summary>
internal static class NumberText
{
    /// <summary>SCPI-1999 volume 1, 7.2.1.4 and 7.2.1.5 (from memory): ±9.9E37 stands for infinity and 9.91E37 for not-a-number.</summary>
    private const double InfinityMark = 9.9e37;

    private const NumberStyles Style =
        NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent;

    /// <summary>Length of the longest number at the start; 0 where there is none.</summary>
    public static int Scan(ReadOnlySpan<byte> text)
    {
        int at = SkipSign(text, 0);
        int whole = CountDigits(text[at..]);
        at += whole;
        int fraction = 0;
        if (at < text.Length && text[at] == '.')
        {
            fraction = CountDigits(text[(at + 1)..]);
            at += 1 + fraction;
        }

        return whole + fraction == 0 ? 0 : at + ScanExponent(text[at..]);
    }

    /// <summary>Length of the longest signed whole number at the start; 0 where there is none.</summary>
    public static int ScanInteger(ReadOnlySpan<byte> text)
    {
        int sign = SkipSign(text, 0);
        int digits = CountDigits(text[sign..]);
        return digits == 0 ? 0 : sign + digits;
    }

    /// <summary>The value of text that <see cref="Scan"/> accepted whole.</summary>
    public static ReplyMatch Read(ReadOnlySpan<byte> number, out decimal value)
    {
        if (decimal.TryParse(number, Style, CultureInfo.InvariantCulture, out value))
            return ReplyMatch.Matched;
        bool beyond = double.TryParse(number, Style, CultureInfo.InvariantCulture, out double rough)
            && Math.Abs(rough) >= InfinityMark;
        return beyond ? ReplyMatch.OverRange : ReplyMatch.Mismatched;
    }

    private static int ScanExponent(ReadOnlySpan<byte> text)
    {
        if (text.IsEmpty || text[0] is not ((byte)'e' or (byte)'E'))
            return 0;
        int sign = SkipSign(text, 1);
        int digits = CountDigits(text[sign..]);
        return digits == 0 ? 0 : sign + digits;
    }

    private static int SkipSign(ReadOnlySpan<byte> text, int at) =>
        at < text.Length && (text[at] is (byte)'+' or (byte)'-') ? at + 1 : at;

    private static int CountDigits(ReadOnlySpan<byte> text)
    {
        int end = text.IndexOfAnyExceptInRange((byte)'0', (byte)'9');
        return end < 0 ? text.Length : end;
    }
}
