using System.Globalization;

namespace Barostep.Instruments;

/// <summary>Turns the text of a reply pattern into parts, and refuses what could be read in two ways.</summary>
internal static class ReplyPatternCompiler
{
    public static bool TryCompile(string text, string? address, out ReplyPart[] parts, out string error)
    {
        parts = [];
        if (text.Length == 0)
        {
            error = PatternText.At(1, "a reply pattern cannot be empty; leave it out where the instrument says nothing");
            return false;
        }

        if (!PatternText.TrySplit(text, address, out List<PatternPiece> pieces, out error))
            return false;
        List<ReplyPart> compiled = [];
        foreach (PatternPiece piece in pieces)
        {
            if (!TryCompile(piece, compiled, out error))
                return false;
        }

        parts = LookAhead(compiled);
        for (int i = 0; i + 1 < parts.Length && error.Length == 0; i++)
            error = Ambiguity(parts[i], parts[i + 1], pieces[i + 1].Position);
        return error.Length == 0;
    }

    private static bool TryCompile(PatternPiece piece, List<ReplyPart> compiled, out string error)
    {
        error = string.Empty;
        if (piece.IsLiteral)
        {
            compiled.Add(new ReplyPart(ReplyPartKind.Literal, string.Empty) { Literal = piece.Literal, Width = piece.Literal.Length });
            return true;
        }

        string name = piece.Fields[0];
        int slot = compiled.Count(p => p.Slot >= 0);
        ReplyPart? part = Part(piece.Fields, slot);
        if (part is null)
            error = PatternText.At(piece.Position, $"unknown part '{{{string.Join(':', piece.Fields)}}}'; write {{{name}:number}}, integer, hex, word or text, all but word with a width as in {{{name}:number:8}} where it is fixed, or for whole bytes {{{name}:float32}}, int16, uint16, int32 or uint32, with an order as in {{{name}:float32:cdab}} and a scale as in {{{name}:int16:0.01}}, or {{check:sum8hex}} or {{check:xor8hex}}");
        else if (part.Slot >= 0 && compiled.Any(p => p.Name == name))
            error = PatternText.At(piece.Position, $"a second part '{name}'; give each part a name of its own");
        else if (slot >= ReplyValues.Capacity)
            error = PatternText.At(piece.Position, $"more than {ReplyValues.Capacity} parts; leave out what is not needed by joining it into one text part");
        else
            compiled.Add(part);
        return error.Length == 0;
    }

    private static ReplyPart? Part(string[] fields, int slot)
    {
        string type = fields.Length > 1 ? fields[1] : string.Empty;
        if (Checksum.Find(type) is { } check)
            return fields.Length == 2 ? new ReplyPart(ReplyPartKind.Check, string.Empty) { Check = check, Width = Checksum.Width } : null;
        ReplyPartKind? kind = type switch
        {
            "number" => ReplyPartKind.Number,
            "integer" => ReplyPartKind.Integer,
            "hex" => ReplyPartKind.Hex,
            "word" => ReplyPartKind.Word,
            "text" => ReplyPartKind.Text,
            _ => null,
        };
        if (BinaryNumber.WidthOf(type) > 0)
        {
            return BinaryNumber.Find(fields) is { } binary
                ? new ReplyPart(ReplyPartKind.Binary, fields[0]) { Slot = slot, Width = binary.Width, Binary = binary }
                : null;
        }

        int width = 0;
        bool fits = fields.Length == 2 || (fields.Length == 3 && kind is ReplyPartKind.Number or ReplyPartKind.Integer or ReplyPartKind.Hex or ReplyPartKind.Text
            && int.TryParse(fields[2], NumberStyles.None, CultureInfo.InvariantCulture, out width) && width is > 0 and <= 40);
        return kind is null || !fits ? null : new ReplyPart(kind.Value, fields[0]) { Slot = slot, Width = width };
    }

    private static ReplyPart[] LookAhead(List<ReplyPart> parts)
    {
        ReplyPart[] known = new ReplyPart[parts.Count];
        int behind = 0;
        byte[] next = [];
        for (int i = parts.Count - 1; i >= 0; i--)
        {
            known[i] = parts[i] with { WidthBehind = behind, Next = next };
            behind = behind < 0 || parts[i].Width == 0 ? -1 : behind + parts[i].Width;
            next = parts[i].Literal;
        }

        return known;
    }

    private static string Ambiguity(ReplyPart part, ReplyPart next, int position)
    {
        if (part.Width > 0 || part.WidthBehind >= 0)
            return string.Empty;
        bool number = part.Kind is ReplyPartKind.Number or ReplyPartKind.Integer;
        if (next.Kind != ReplyPartKind.Literal)
        {
            return number && next.Kind is ReplyPartKind.Word or ReplyPartKind.Text
                ? string.Empty
                : PatternText.At(position, $"nothing tells where '{part.Name}' ends; write a literal between, or give it a width");
        }

        byte first = next.Literal[0];
        bool swallowed = (part.Kind == ReplyPartKind.Hex && char.IsAsciiHexDigit((char)first))
            || (number && (char.IsAsciiDigit((char)first) || (first == '.' && part.Kind == ReplyPartKind.Number)));
        return swallowed
            ? PatternText.At(position, $"'{part.Name}' would swallow the '{(char)first}' behind it; give it a width")
            : string.Empty;
    }
}
