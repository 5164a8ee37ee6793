using System.Buffers.Binary;
using System.Globalization;

namespace Barostep.Instruments;

/// <summary>
/// A number as whole bytes: signed or unsigned integer, or IEEE 754 single precision, with the order of its bytes and a
/// scale. Written <c>uint16</c>, <c>int16</c>, <c>uint32</c>, <c>int32</c> or <c>float32</c>.
/// </summary>
/// <remarks>
/// The order is told by letters, the first for the most significant byte: <c>abcd</c> as Modbus itself has it, <c>cdab</c>
/// for the low word first, <c>badc</c> and <c>dcba</c> for exchanged bytes; <c>ab</c> or <c>ba</c> for 16 bits.
/// </remarks>
internal sealed class BinaryNumber
{
    private readonly string _form;
    private readonly int[] _places;
    private readonly decimal _scale;

    private BinaryNumber(string form, int[] places, decimal scale)
    {
        _form = form;
        _places = places;
        _scale = scale;
    }

    /// <summary>Bytes that it takes.</summary>
    public int Width => _places.Length;

    /// <summary>Bytes of a form by its name; 0 where it is none.</summary>
    public static int WidthOf(string form) => form switch
    {
        "uint16" or "int16" => 2,
        "uint32" or "int32" or "float32" => 4,
        _ => 0,
    };

    /// <summary>Reads form, order and scale of a part; null where they are not understood.</summary>
    /// <param name="fields">Name, form and then an order or a scale or both.</param>
    public static BinaryNumber? Find(string[] fields)
    {
        int width = fields.Length > 1 ? WidthOf(fields[1]) : 0;
        if (width == 0 || fields.Length > 4)
            return null;
        string order = "abcd"[..width];
        decimal scale = 1;
        foreach (string option in fields[2..])
        {
            if (IsOrder(option, width))
                order = option;
            else if (!decimal.TryParse(option, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out scale) || scale is <= 0 or > 1_000_000m)
                return null;
        }

        return new BinaryNumber(fields[1], [.. order.Select(letter => letter - 'a')], scale);
    }

    /// <summary>Reads the number; a float that is no number, or that nothing can mean, is over range.</summary>
    public ReplyMatch Read(ReadOnlySpan<byte> field, out decimal value)
    {
        Span<byte> ordered = stackalloc byte[4];
        for (int i = 0; i < Width; i++)
            ordered[_places[i]] = field[i];
        value = 0;
        if (_form == "float32")
        {
            double told = BinaryPrimitives.ReadSingleBigEndian(ordered);
            if (!double.IsFinite(told) || Math.Abs(told) > 1e20)
                return ReplyMatch.OverRange;
            value = (decimal)told * _scale;
            return ReplyMatch.Matched;
        }

        value = _scale * _form switch
        {
            "uint16" => BinaryPrimitives.ReadUInt16BigEndian(ordered),
            "int16" => BinaryPrimitives.ReadInt16BigEndian(ordered),
            "uint32" => BinaryPrimitives.ReadUInt32BigEndian(ordered),
            _ => (decimal)BinaryPrimitives.ReadInt32BigEndian(ordered),
        };
        return ReplyMatch.Matched;
    }

    /// <summary>Writes the number; false where it does not fit.</summary>
    /// <param name="value">The wanted value.</param>
    /// <param name="destination">Takes <see cref="Width"/> bytes.</param>
    /// <param name="told">The value that the bytes say.</param>
    public bool TryWrite(decimal value, Span<byte> destination, out decimal told)
    {
        told = 0;
        if (destination.Length < Width || Math.Abs(value) > 1e20m)
            return false;
        Span<byte> ordered = stackalloc byte[4];
        if (_form == "float32")
        {
            float single = (float)(double)(value / _scale);
            BinaryPrimitives.WriteSingleBigEndian(ordered, single);
            told = (decimal)(double)single * _scale;
        }
        else
        {
            decimal whole = decimal.Round(value / _scale);
            (decimal least, decimal most) = Range();
            if (whole < least || whole > most)
                return false;
            uint bits = unchecked((uint)(long)whole);
            if (Width == 2)
                BinaryPrimitives.WriteUInt16BigEndian(ordered, unchecked((ushort)bits));
            else
                BinaryPrimitives.WriteUInt32BigEndian(ordered, bits);
            told = whole * _scale;
        }

        for (int i = 0; i < Width; i++)
            destination[i] = ordered[_places[i]];
        return true;
    }

    private (decimal Least, decimal Most) Range() => _form switch
    {
        "uint16" => (0, ushort.MaxValue),
        "int16" => (short.MinValue, short.MaxValue),
        "uint32" => (0, uint.MaxValue),
        _ => (int.MinValue, int.MaxValue),
    };

    private static bool IsOrder(string text, int width) => width == 2
        ? text is "ab" or "ba"
        : text is "abcd" or "cdab" or "badc" or "dcba";
}
