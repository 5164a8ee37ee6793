using System.Globalization;

namespace Barostep.Configuration.Toml;

/// <summary>Makes text from a file fit to stand in a one-line message.</summary>
internal static class MessageText
{
    private const int Longest = 60;

    public static readonly CultureInfo Plain = CultureInfo.InvariantCulture;

    /// <summary>Control characters become dots, and what is longer than 60 characters, or the length given, is cut.</summary>
    public static string OneLine(string text, int longest = Longest)
    {
        string cut = text.Length <= longest ? text : string.Concat(text.AsSpan(0, longest), "...");
        return string.Concat(cut.Select(character => char.IsControl(character) ? '.' : character));
    }
}
