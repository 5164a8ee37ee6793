using System.Globalization;
using System.Text;

namespace Barostep.Instruments;

/// <summary>A stretch of literal bytes, or a part in braces cut at its colons.</summary>
/// <param name="Position">First character in the text, counted from 1.</param>
/// <param name="Literal">The bytes; empty for a part.</param>
/// <param name="Fields">Name, type and options; empty for a literal.</param>
internal sealed record PatternPiece(int Position, byte[] Literal, string[] Fields)
{
    public bool IsLiteral => Fields.Length == 0;
}

/// <summary>Cuts the text of a request or reply into literals and parts.</summary>
/// <remarks>Escapes: <c>\r \n \t \\ \{ \}</c> and <c>\xHH</c> for any byte.</remarks>
internal static class PatternText
{
    /// <param name="text">The text of a request or reply.</param>
    /// <param name="address">What stands for <c>{address}</c>; null where nothing does.</param>
    /// <param name="pieces">The pieces in order.</param>
    /// <param name="error">What is wrong and what to write.</param>
    public static bool TrySplit(string text, string? address, out List<PatternPiece> pieces, out string error)
    {
        pieces = [];
        error = string.Empty;
        int at = 0;
        while (at < text.Length && error.Length == 0)
        {
            int start = at;
            if (text[at] == '{')
            {
                if (TakePart(text, ref at, out string[] fields, out error))
                    pieces.Add(PieceOf(start + 1, fields, address, ref error));
            }
            else if (TakeLiteral(text, ref at, out byte[] literal, out error))
            {
                pieces.Add(new PatternPiece(start + 1, literal, []));
            }
        }

        return error.Length == 0;
    }

    public static string At(int position, string problem) => $"character {position}: {problem}";

    /// <summary>A part; or, for the address and for a number as whole bytes such as <c>{1:uint16}</c>, its literal bytes.</summary>
    private static PatternPiece PieceOf(int position, string[] fields, string? address, ref string error)
    {
        if (fields is ["address"])
        {
            if (address is null)
                error = At(position, "nothing says what {address} is; write address = \"07\" at the top of the file");
            return new PatternPiece(position, Encoding.ASCII.GetBytes(address ?? "0"), []);
        }

        if (!char.IsAsciiDigit(fields[0][0]))
            return new PatternPiece(position, [], fields);
        byte[] constant = [];
        bool written = BinaryNumber.Find(fields) is { } form && decimal.TryParse(fields[0], NumberStyles.None, CultureInfo.InvariantCulture, out decimal number)
            && form.TryWrite(number, constant = new byte[form.Width], out decimal told) && told == number;
        if (!written)
            error = At(position, $"'{{{string.Join(':', fields)}}}' is no number of whole bytes; write for example {{1:uint16}}");
        return new PatternPiece(position, constant, []);
    }

    private static bool TakePart(string text, ref int at, out string[] fields, out string error)
    {
        fields = [];
        error = string.Empty;
        int close = text.IndexOf('}', at);
        if (close < 0)
        {
            error = At(at + 1, "'{' opens a part that is never closed; write '}' after it, or '\\{' for the character itself");
            return false;
        }

        fields = text[(at + 1)..close].Split(':');
        if (!IsName(fields[0]))
        {
            error = At(at + 2, $"a part's name must be letters and digits, found '{fields[0]}'; write for example {{value:number}}");
            return false;
        }

        at = close + 1;
        return true;
    }

    private static bool IsName(string name) => name.Length > 0 && name.All(char.IsAsciiLetterOrDigit);

    private static bool TakeLiteral(string text, ref int at, out byte[] literal, out string error)
    {
        List<byte> bytes = [];
        error = string.Empty;
        while (at < text.Length && text[at] != '{' && error.Length == 0)
        {
            if (text[at] == '\\')
                bytes.Add(TakeEscape(text, ref at, out error));
            else if (text[at] == '}')
                error = At(at + 1, "'}' closes no part; write '\\}' for the character itself");
            else if (text[at] is < ' ' or > '~')
                error = At(at + 1, "only printable ASCII may stand as it is; write any other byte as \\xHH");
            else
                bytes.Add((byte)text[at++]);
        }

        literal = [.. bytes];
        return error.Length == 0;
    }

    private static byte TakeEscape(string text, ref int at, out string error)
    {
        error = string.Empty;
        int start = at;
        char kind = at + 1 < text.Length ? text[at + 1] : '\0';
        at += 2;
        switch (kind)
        {
            case 'r': return (byte)'\r';
            case 'n': return (byte)'\n';
            case 't': return (byte)'\t';
            case '\\' or '{' or '}': return (byte)kind;
            case 'x' when at + 2 <= text.Length && char.IsAsciiHexDigit(text[at]) && char.IsAsciiHexDigit(text[at + 1]):
                at += 2;
                return Convert.FromHexString(text.AsSpan(at - 2, 2))[0];
            default:
                error = At(start + 1, "unknown escape; write \\r \\n \\t \\\\ \\{ \\} or \\xHH with two hexadecimal digits");
                return 0;
        }
    }
}
