using System.Globalization;

namespace Barostep.Instruments;

/// <summary>A reply with named parts: <c>{value:number},{unit:word}</c>. The terminator is the framing's and not part of it.</summary>
/// <remarks>
/// Part types: <c>number</c> (NR1 to NR3, spaces before it allowed), <c>number:8</c> (exactly eight characters),
/// <c>integer</c> and <c>hex</c> (both with an optional width), <c>word</c> (printable, no space, comma, semicolon or
/// quote), <c>text</c> (to the next literal or the end, or of a fixed width; quoted text may hold that literal),
/// <c>uint16</c>, <c>int16</c>, <c>uint32</c>, <c>int32</c> and <c>float32</c> (whole bytes), <c>sum8hex</c> and
/// <c>xor8hex</c> (check of all bytes before it). Matching is one pass without a second guess, so a reply has one reading.
/// </remarks>
public sealed class ReplyPattern
{
    private readonly ReplyPart[] _parts;

    private ReplyPattern(string text, ReplyPart[] parts)
    {
        Text = text;
        _parts = parts;
        PartNames = [.. parts.Where(p => p.Slot >= 0).Select(p => p.Name)];
        int number = Array.FindIndex(parts, p => p.Kind is ReplyPartKind.Number or ReplyPartKind.Integer or ReplyPartKind.Hex or ReplyPartKind.Binary);
        ValuePart = IndexOf("value") >= 0 ? IndexOf("value") : number < 0 ? -1 : parts[number].Slot;
    }

    public string Text { get; }

    /// <summary>Names in order; literals and check fields have none.</summary>
    public IReadOnlyList<string> PartNames { get; }

    /// <summary>Place of the part <c>value</c>, or else of the first numeric part; -1 where the reply has no number.</summary>
    public int ValuePart { get; }

    /// <summary>Compiles a pattern. On failure the pattern is empty and the error says where and what to write.</summary>
    public static bool TryParse(string text, out ReplyPattern pattern, out string error) => TryParse(text, null, out pattern, out error);

    /// <summary>Compiles a pattern in which <c>{address}</c> stands for the instrument's own.</summary>
    public static bool TryParse(string text, string? address, out ReplyPattern pattern, out string error)
    {
        ArgumentNullException.ThrowIfNull(text);
        bool parsed = ReplyPatternCompiler.TryCompile(text, address, out ReplyPart[] parts, out error);
        pattern = new ReplyPattern(text, parsed ? parts : []);
        return parsed;
    }

    /// <summary>Place of a part by name; -1 where there is none.</summary>
    public int IndexOf(string partName)
    {
        for (int i = 0; i < PartNames.Count; i++)
        {
            if (string.Equals(PartNames[i], partName, StringComparison.Ordinal))
                return i;
        }

        return -1;
    }

    /// <summary>Bytes of every reply that matches; -1 where that varies.</summary>
    public int FixedWidth => _parts.Length > 0 && _parts.All(p => p.Width > 0) ? _parts.Sum(p => p.Width) : -1;

    /// <summary>What a part says as a word: its characters, or the number of whole bytes in decimal digits.</summary>
    /// <param name="part">Its place among the named parts.</param>
    /// <param name="values">What was matched.</param>
    /// <param name="reply">The reply that was matched.</param>
    /// <param name="room">Takes the digits; at least 32 bytes.</param>
    public ReadOnlySpan<byte> Word(int part, in ReplyValues values, ReadOnlySpan<byte> reply, Span<byte> room)
    {
        foreach (ReplyPart one in _parts)
        {
            if (one.Slot == part && one.Kind != ReplyPartKind.Binary)
                return values.Text(part, reply);
        }

        values.Number(part).TryFormat(room, out int length, default, CultureInfo.InvariantCulture);
        return room[..length];
    }

    /// <summary>Matches a whole reply, without its terminator. Allocates nothing.</summary>
    /// <param name="reply">The bytes that arrived.</param>
    /// <param name="values">Filled where the result is not <see cref="ReplyMatch.Mismatched"/>.</param>
    public ReplyMatch Match(ReadOnlySpan<byte> reply, ref ReplyValues values)
    {
        int at = 0;
        ReplyMatch result = ReplyMatch.Matched;
        foreach (ReplyPart part in _parts)
        {
            int before = at;
            ReplyMatch one = part.Match(reply, ref at, ref values);
            if (one == ReplyMatch.Mismatched || at < before)
                return ReplyMatch.Mismatched;
            if (one == ReplyMatch.OverRange)
                result = one;
        }

        return at == reply.Length && _parts.Length > 0 ? result : ReplyMatch.Mismatched;
    }
}
