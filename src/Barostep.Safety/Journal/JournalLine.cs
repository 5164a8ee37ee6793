using System.Text;
using System.Text.Json;

namespace Barostep.Safety;

/// <summary>Reads one line of a journal, its seal first.</summary>
internal static class JournalLine
{
    /// <summary>The end of a line: <c>,"h":"</c>, 64 digits, <c>"}</c>.</summary>
    private const int SealLength = 6 + JournalChain.HashDigits + 2;

    /// <summary>Parses a line without its line feed; returns what is wrong with it, or null.</summary>
    public static string? Parse(ReadOnlyMemory<byte> line, long offset, out JournalEntry? entry)
    {
        entry = null;
        if (line.Length <= SealLength)
            return "it is too short to hold its hash";
        ReadOnlySpan<byte> sealedPart = line.Span[..^SealLength];
        ReadOnlySpan<byte> seal = line.Span[^SealLength..];
        if (!seal.StartsWith(",\"h\":\""u8) || !seal.EndsWith("\"}"u8))
            return "it does not end with its hash";
        Span<byte> digits = stackalloc byte[JournalChain.HashDigits];
        JournalChain.HashOf(sealedPart, digits);
        if (!seal.Slice(6, JournalChain.HashDigits).SequenceEqual(digits))
            return "its contents do not match its hash";
        return ParseSealed(line, offset, out entry);
    }

    // Whoever can compute a hash can seal anything, so the contents are not trusted to be well formed.
    private static string? ParseSealed(ReadOnlyMemory<byte> line, long offset, out JournalEntry? entry)
    {
        entry = null;
        try
        {
            // A copy: the buffer behind the line is used again for the next.
            JsonElement root = JsonElement.Parse(line.Span);
            if (!HasMembersInOrder(root))
                return "its members are not n, t, w, k, d, p, h in this order";
            if (!JournalWords.TryFind(root.GetProperty("k"u8).GetString() ?? "", out JournalKind kind))
                return $"\"{root.GetProperty("k"u8)}\" is no kind of entry";
            entry = new JournalEntry(
                root.GetProperty("n"u8).GetInt64(),
                new JournalStamp(root.GetProperty("t"u8).GetInt64(), root.GetProperty("w"u8).GetInt64()),
                kind,
                root.GetProperty("d"u8),
                root.GetProperty("p"u8).GetString() ?? "",
                root.GetProperty("h"u8).GetString() ?? "",
                offset);
            return null;
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException or FormatException)
        {
            return "it is sealed, but is no entry of a journal";
        }
    }

    private static bool HasMembersInOrder(JsonElement root)
    {
        StringBuilder names = new();
        foreach (JsonProperty member in root.EnumerateObject())
            names.Append(member.Name).Append(' ');
        return names.ToString() == "n t w k d p h ";
    }
}
