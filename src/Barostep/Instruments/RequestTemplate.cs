using System.Globalization;

namespace Barostep.Instruments;

/// <summary>
/// A request with places for its value and check field: <c>PRES:TARG {value:0.0000}</c>,
/// <c>\x02P{value:+0000.00}{check:sum8hex}</c>. The terminator is the framing's and not part of it.
/// </summary>
public sealed class RequestTemplate
{
    /// <summary>Longest request, terminator included, bytes.</summary>
    public const int Longest = 256;

    private readonly Piece[] _pieces;

    private RequestTemplate(string text, Piece[] pieces)
    {
        Text = text;
        _pieces = pieces;
    }

    /// <summary>A message without content: what it asks for stands outside it.</summary>
    public static RequestTemplate Empty { get; } = new(string.Empty, []);

    public string Text { get; }

    /// <summary>Bytes of every message; -1 where that depends on the value.</summary>
    public int FixedLength => _pieces.Any(p => p.Value is not null) ? -1 : _pieces.Sum(p => p.Length);

    /// <summary>Whether the message depends on a value.</summary>
    public bool TakesValue => _pieces.Any(p => p.Value is not null || p.Binary is not null);

    /// <summary>Compiles a template. On failure the template is empty and the error says where and what to write.</summary>
    public static bool TryParse(string text, out RequestTemplate template, out string error) => TryParse(text, null, out template, out error);

    /// <summary>Compiles a template in which <c>{address}</c> stands for the instrument's own.</summary>
    public static bool TryParse(string text, string? address, out RequestTemplate template, out string error)
    {
        ArgumentNullException.ThrowIfNull(text);
        template = new RequestTemplate(text, []);
        if (text.Length is 0 or > Longest / 2)
        {
            error = PatternText.At(1, $"a request has 1 to {Longest / 2} characters, found {text.Length}");
            return false;
        }

        if (!PatternText.TrySplit(text, address, out List<PatternPiece> split, out error))
            return false;
        Piece[] compiled = new Piece[split.Count];
        for (int i = 0; i < compiled.Length; i++)
        {
            if (!TryCompile(split[i], out compiled[i], out error))
                return false;
        }

        template = new RequestTemplate(text, compiled);
        return true;
    }

    /// <summary>Writes the message without its terminator; false where the value does not fit.</summary>
    /// <param name="value">In the unit that the definition states; ignored where the message takes none.</param>
    /// <param name="destination">Takes the message.</param>
    /// <param name="written">Its length.</param>
    /// <param name="told">The value that the message says, after rounding to the nearest that it can say.</param>
    public bool TryWrite(decimal value, Span<byte> destination, out int written, out decimal told)
    {
        written = 0;
        told = 0;
        foreach (ref readonly Piece piece in _pieces.AsSpan())
        {
            Span<byte> rest = destination[written..];
            int length = piece.Literal.Length;
            if (piece.Value is not null)
            {
                if (!piece.Value.TryWrite(value, rest, out length, out told))
                    return false;
            }
            else if (piece.Binary is { } binary)
            {
                length = binary.Width;
                if (!binary.TryWrite(value, rest, out told))
                    return false;
            }
            else if (piece.Check is { } check)
            {
                length = Checksum.Width;
                if (rest.Length < length)
                    return false;
                Checksum.Write(check, destination[..written], rest);
            }
            else if (!piece.Literal.AsSpan().TryCopyTo(rest))
            {
                return false;
            }

            written += length;
        }

        return true;
    }

    private static bool TryCompile(PatternPiece piece, out Piece compiled, out string error)
    {
        error = string.Empty;
        compiled = new Piece(piece.Literal, null, null);
        if (piece.IsLiteral)
            return true;
        string[] fields = piece.Fields;
        if (fields[0] == "value" && BinaryNumber.Find(fields) is { } binary)
        {
            compiled = new Piece([], null, null, binary);
            return true;
        }

        string form = fields.Length > 1 ? fields[1] : string.Empty;
        if (Checksum.Find(form) is { } check && fields.Length == 2)
        {
            compiled = new Piece([], null, check);
            return true;
        }

        int width = 0;
        bool wellFormed = fields.Length <= 3 && (fields.Length < 3 || (TryWidth(fields[2], out width) && width > 0));
        NumberFormat? format = fields[0] == "value" && wellFormed ? NumberFormat.Find(form, width) : null;
        compiled = new Piece([], format, null);
        if (format is null)
        {
            error = PatternText.At(
                piece.Position,
                $"a request cannot hold '{{{string.Join(':', fields)}}}'; write {{value}}, {{value:0.000}}, {{value:+0000.00}}, {{value:e6}}, a width as in {{value:0.00:8}}, whole bytes as in {{value:float32:cdab}} or {{value:int16:0.01}}, or {{check:sum8hex}} or {{check:xor8hex}}");
        }

        return format is not null;
    }

    private static bool TryWidth(string text, out int width) =>
        int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out width) && width <= 40;

    private readonly record struct Piece(byte[] Literal, NumberFormat? Value, ChecksumKind? Check, BinaryNumber? Binary = null)
    {
        /// <summary>Bytes that it takes where they do not depend on the value.</summary>
        public int Length => Binary?.Width ?? (Check is null ? Literal.Length : Checksum.Width);
    }
}
