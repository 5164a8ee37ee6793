using PdfSharp.Drawing;

namespace Barostep.Certificates.Pdf;

/// <summary>Breaks running text into lines.</summary>
internal static class TextBlock
{
    /// <summary>Lines no wider than asked for; a word that alone is wider, as a hash can be, is cut.</summary>
    public static IReadOnlyList<string> Wrap(XGraphics graphics, string text, XFont font, double width)
    {
        List<string> lines = [];
        string line = string.Empty;
        foreach (string word in text.Split(default(char[]), StringSplitOptions.RemoveEmptyEntries).SelectMany(word => Cut(graphics, word, font, width)))
        {
            string longer = line.Length == 0 ? word : $"{line} {word}";
            if (line.Length > 0 && WidthOf(graphics, longer, font) > width)
            {
                lines.Add(line);
                line = word;
            }
            else
            {
                line = longer;
            }
        }

        lines.Add(line);
        return lines;
    }

    public static double WidthOf(XGraphics graphics, string text, XFont font) => graphics.MeasureString(text, font).Width;

    private static IEnumerable<string> Cut(XGraphics graphics, string word, XFont font, double width)
    {
        string rest = word;
        while (WidthOf(graphics, rest, font) > width && rest.Length > 1)
        {
            int fits = rest.Length - 1;
            while (fits > 1 && WidthOf(graphics, rest[..fits], font) > width)
                fits--;
            yield return rest[..fits];
            rest = rest[fits..];
        }

        yield return rest;
    }
}
