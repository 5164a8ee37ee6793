using System.Globalization;

namespace Barostep.Configuration.Toml;

/// <summary>Makes text from a file fit to stand in a one-line message.</summary>
internal static class MessageText
{
    private const int Longest = 60;

    public static readonly CultureInfo Plain = CultureInfo.InvariantCulture;

    /// <summary>Made printable, and cut where it is longer than 60 characters or the length given.</summary>
    public static string OneLine(string text, int longest = Longest) =>
        Printable(text.Length <= longest ? text : string.Concat(text.AsSpan(0, longest), "..."));

    /// <summary>Control characters become dots: they could rewrite a terminal's line.</summary>
    public static string Printable(string text) =>
        text.Any(char.IsControl) ? string.Concat(text.Select(character => char.IsControl(character) ? '.' : character)) : text;
}
