using System.Globalization;

namespace Barostep.Instruments;

internal enum ReplyPartKind
{
    Literal,
    Number,
    Integer,
    Hex,
    Word,
    Text,
    Check,

    /// <summary>A number as whole bytes.</summary>
    Binary,
}

/// <summary>One part of a reply pattern, compiled.</summary>
internal sealed record ReplyPart(ReplyPartKind Kind, string Name)
{
    /// <summary>Place among the named parts; -1 for literals and check fields.</summary>
    public int Slot { get; init; } = -1;

    public byte[] Literal { get; init; } = [];

    /// <summary>Exact number of characters; 0 where it varies.</summary>
    public int Width { get; init; }

    public ChecksumKind Check { get; init; }

    /// <summary>How a <see cref="ReplyPartKind.Binary"/> part is read; null for others.</summary>
    public BinaryNumber? Binary { get; init; }

    /// <summary>Characters that everything behind it takes; -1 where that varies.</summary>
    public int WidthBehind { get; init; }

    /// <summary>The literal that ends it; empty where another part or nothing follows.</summary>
    public byte[] Next { get; init; } = [];

    /// <summary>Matches at a place in the reply and moves on behind it.</summary>
    public ReplyMatch Match(ReadOnlySpan<byte> reply, ref int at, ref ReplyValues values)
    {
        int end = Width > 0 ? at + Width : WidthBehind >= 0 ? reply.Length - WidthBehind : -1;
        if (end > reply.Length || (end >= 0 && end < at))
            return ReplyMatch.Mismatched;
        ReadOnlySpan<byte> rest = end >= 0 ? reply[at..end] : reply[at..];
        return Kind switch
        {
            ReplyPartKind.Literal => MatchLiteral(rest, ref at),
            ReplyPartKind.Check => MatchCheck(reply, rest, ref at),
            ReplyPartKind.Number or ReplyPartKind.Integer or ReplyPartKind.Hex => MatchNumber(rest, end >= 0, ref at, ref values),
            ReplyPartKind.Word or ReplyPartKind.Text => MatchText(rest, end >= 0, ref at, ref values),
            ReplyPartKind.Binary => MatchBinary(rest, ref at, ref values),
            _ => throw new InvalidOperationException($"{Kind} has no matcher"),
        };
    }

    /// <summary>What fills a text up to its fixed width.</summary>
    private static ReadOnlySpan<byte> Padding => "\0 "u8;

    private ReplyMatch MatchLiteral(ReadOnlySpan<byte> rest, ref int at)
    {
        at += Literal.Length;
        return rest.StartsWith(Literal) ? ReplyMatch.Matched : ReplyMatch.Mismatched;
    }

    private ReplyMatch MatchCheck(ReadOnlySpan<byte> reply, ReadOnlySpan<byte> field, ref int at)
    {
        bool right = Checksum.Matches(Check, reply[..at], field);
        at += field.Length;
        return right ? ReplyMatch.Matched : ReplyMatch.Mismatched;
    }

    private ReplyMatch MatchNumber(ReadOnlySpan<byte> rest, bool whole, ref int at, ref ReplyValues values)
    {
        int spaces = Kind == ReplyPartKind.Hex ? 0 : Math.Max(rest.IndexOfAnyExcept((byte)' '), 0);
        ReadOnlySpan<byte> text = rest[spaces..];
        int length = Kind switch
        {
            ReplyPartKind.Number => NumberText.Scan(text),
            ReplyPartKind.Integer => NumberText.ScanInteger(text),
            _ => ScanHex(text),
        };
        if (length == 0 || (whole && length != text.Length))
            return ReplyMatch.Mismatched;
        ReplyMatch result = Read(text[..length], out decimal value);
        values.Set(Slot, at + spaces, length, value);
        at += spaces + length;
        return result;
    }

    private ReplyMatch Read(ReadOnlySpan<byte> text, out decimal value)
    {
        if (Kind != ReplyPartKind.Hex)
            return NumberText.Read(text, out value);
        bool fits = ulong.TryParse(text, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out ulong number);
        value = number;
        return fits ? ReplyMatch.Matched : ReplyMatch.Mismatched;
    }

    private ReplyMatch MatchBinary(ReadOnlySpan<byte> field, ref int at, ref ReplyValues values)
    {
        ReplyMatch result = Binary!.Read(field, out decimal value);
        values.Set(Slot, at, field.Length, value);
        at += field.Length;
        return result;
    }

    private ReplyMatch MatchText(ReadOnlySpan<byte> rest, bool whole, ref int at, ref ReplyValues values)
    {
        bool quoted = Kind == ReplyPartKind.Text && rest.Length > 0 && rest[0] == '"';
        int length = quoted ? ScanQuoted(rest) : whole ? rest.Length : rest.IndexOf(Next);
        if (length < 0 || (whole && length != rest.Length) || (Kind == ReplyPartKind.Word && length == 0))
            return ReplyMatch.Mismatched;
        ReadOnlySpan<byte> text = quoted ? rest[1..(length - 1)] : rest[..length];
        if (Kind == ReplyPartKind.Text && Width > 0)
            text = text.TrimEnd(Padding);
        bool clean = Kind == ReplyPartKind.Word ? !text.ContainsAnyExceptInRange((byte)'!', (byte)'~') && text.IndexOfAny(",;\""u8) < 0
            : !text.ContainsAnyExceptInRange((byte)' ', (byte)'~');
        values.Set(Slot, quoted ? at + 1 : at, text.Length, 0);
        at += length;
        return clean ? ReplyMatch.Matched : ReplyMatch.Mismatched;
    }

    /// <summary>Length with both quotes; a doubled quote stands for one and does not end it. -1 where it never ends.</summary>
    private static int ScanQuoted(ReadOnlySpan<byte> rest)
    {
        for (int i = 1; i < rest.Length; i++)
        {
            if (rest[i] != '"')
                continue;
            if (i + 1 == rest.Length || rest[i + 1] != '"')
                return i + 1;
            i++;
        }

        return -1;
    }

    private static int ScanHex(ReadOnlySpan<byte> text)
    {
        int length = 0;
        while (length < text.Length && char.IsAsciiHexDigit((char)text[length]))
            length++;
        return length;
    }
}
