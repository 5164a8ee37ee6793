using System.Globalization;

namespace Barostep.Instruments;

/// <summary>How a request writes its value.</summary>
/// <remarks>
/// Empty: as given. <c>0.000</c>: that many decimals. <c>0000.00</c>: padded with zeros, and never wider.
/// <c>+0000.00</c>: with its sign always. <c>e6</c>: NR3 with six decimals. A width pads with spaces on the left.
/// </remarks>
internal sealed class NumberFormat
{
    private const int LongestNumber = 48;

    private readonly string _net;
    private readonly int _wholeDigits;
    private readonly int _decimals;
    private readonly bool _alwaysSigned;
    private readonly int _width;

    private NumberFormat(string net, int wholeDigits, int decimals, bool alwaysSigned, int width)
    {
        _net = net;
        _wholeDigits = wholeDigits;
        _decimals = decimals;
        _alwaysSigned = alwaysSigned;
        _width = width;
    }

    public static NumberFormat? Find(string format, int width)
    {
        if (format.Length == 0)
            return new NumberFormat(string.Empty, 1, -1, false, width);
        if (format[0] == 'e' && int.TryParse(format.AsSpan(1), NumberStyles.None, CultureInfo.InvariantCulture, out int places))
            return places is >= 1 and <= 20 ? new NumberFormat($"0.{new string('0', places)}E+00", 1, -1, false, width) : null;
        bool signed = format[0] == '+';
        string digits = signed ? format[1..] : format;
        string[] halves = digits.Split('.');
        bool zerosOnly = halves.Length <= 2 && halves.All(h => h.Length is > 0 and <= 15 && h.All(c => c == '0'));
        int after = halves.Length == 2 ? halves[1].Length : 0;
        return zerosOnly ? new NumberFormat($"F{after}", halves[0].Length, after, signed, width) : null;
    }

    /// <summary>Writes the value; false where it does not fit the message's fixed width.</summary>
    /// <param name="value">The wanted value.</param>
    /// <param name="destination">Takes the characters.</param>
    /// <param name="written">How many there are.</param>
    /// <param name="told">The value that the characters say, after rounding to nearest.</param>
    public bool TryWrite(decimal value, Span<byte> destination, out int written, out decimal told)
    {
        Span<byte> digits = stackalloc byte[LongestNumber];
        written = 0;
        told = _decimals >= 0 ? decimal.Round(value, _decimals) : value;
        if (!Math.Abs(told).TryFormat(digits, out int length, _net, CultureInfo.InvariantCulture))
            return false;
        digits = digits[..length];
        if (_decimals < 0)
            told = decimal.CopySign(decimal.Parse(digits, NumberStyles.Float, CultureInfo.InvariantCulture), value);
        int point = digits.IndexOf((byte)'.');
        int whole = _decimals < 0 ? _wholeDigits : point < 0 ? length : point;
        bool tooWide = _wholeDigits > 1 && (whole > _wholeDigits || (told < 0 && !_alwaysSigned));
        int zeros = Math.Max(_wholeDigits - whole, 0);
        bool signed = told < 0 || _alwaysSigned;
        int own = (signed ? 1 : 0) + zeros + length;
        written = Math.Max(own, _width);
        if (tooWide || (_width > 0 && own > _width) || written > destination.Length)
            return false;
        destination[..(written - own)].Fill((byte)' ');
        Span<byte> rest = destination[(written - own)..];
        if (signed)
        {
            rest[0] = (byte)(told < 0 ? '-' : '+');
            rest = rest[1..];
        }

        rest[..zeros].Fill((byte)'0');
        digits.CopyTo(rest[zeros..]);
        return true;
    }
}
