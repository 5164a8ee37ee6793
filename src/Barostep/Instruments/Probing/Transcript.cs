using System.Globalization;
using System.Text;
using Barostep.Configuration.Files;

namespace Barostep.Instruments.Probing;

/// <summary>Bytes that went one way at one time.</summary>
/// <param name="AtMicros">Since the beginning.</param>
/// <param name="FromInstrument">Whether they came from the instrument.</param>
/// <param name="Bytes">What went.</param>
public sealed record TranscriptEntry(long AtMicros, bool FromInstrument, byte[] Bytes);

/// <summary>A recorded exchange with an instrument, and what was understood of it.</summary>
/// <remarks>
/// A line is <c>seconds &gt; bytes</c> for what was sent, <c>seconds &lt; bytes</c> for what came, and
/// <c>= capability: what it means</c> for what was found; bytes that are not printable are written <c>\xHH</c>.
/// </remarks>
/// <param name="Definition">Name of the definition that it was recorded with.</param>
/// <param name="Repeats">How often each question was asked.</param>
/// <param name="Entries">What went over the line, in order.</param>
/// <param name="Found">What was understood, each as <c>capability: what it means</c>.</param>
public sealed record Transcript(string Definition, int Repeats, IReadOnlyList<TranscriptEntry> Entries, IReadOnlyList<string> Found)
{
    private const string Heading = "barostep transcript 1";

    /// <summary>One line for a finding.</summary>
    public static string Line(ProbeFinding finding)
    {
        ArgumentNullException.ThrowIfNull(finding);
        return $"{CapabilityNames.NameOf(finding.Capability)}: {finding.Told}";
    }

    /// <summary>Writes it down.</summary>
    public void Write(TextWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.WriteLine(Heading);
        writer.WriteLine($"definition {Definition}");
        writer.WriteLine(string.Create(CultureInfo.InvariantCulture, $"repeats {Repeats}"));
        foreach (TranscriptEntry entry in Entries)
        {
            string text = ReplyText.Printable(entry.Bytes);
            writer.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{entry.AtMicros / 1e6:0.000000} {(entry.FromInstrument ? '<' : '>')} {text}"));
        }

        foreach (string found in Found)
            writer.WriteLine($"= {found}");
    }

    /// <summary>Reads one that was written down.</summary>
    /// <exception cref="FormatException">A line is not understood; the message says which and what to write.</exception>
    public static Transcript Read(TextReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        string definition = string.Empty;
        int repeats = 1;
        List<TranscriptEntry> entries = [];
        List<string> found = [];
        int number = 0;
        while (reader.ReadLine() is { } line)
        {
            number++;
            if (number == 1 && line != Heading)
                throw Wrong(number, line, $"the first line is '{Heading}'");
            if (line.StartsWith("= ", StringComparison.Ordinal))
                found.Add(line[2..]);
            else if (line.StartsWith("definition ", StringComparison.Ordinal))
                definition = line["definition ".Length..];
            else if (line.StartsWith("repeats ", StringComparison.Ordinal))
                repeats = int.TryParse(line["repeats ".Length..], NumberStyles.None, CultureInfo.InvariantCulture, out int times) && times > 0
                    ? times
                    : throw Wrong(number, line, "a count from 1 follows 'repeats'");
            else if (number > 1)
                entries.Add(Entry(number, line));
        }

        return new Transcript(definition, repeats, entries, found);
    }

    private static TranscriptEntry Entry(int number, string line)
    {
        int way = line.IndexOf(' ', StringComparison.Ordinal);
        bool timed = decimal.TryParse(line.AsSpan(0, Math.Max(way, 0)), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out decimal seconds)
            && seconds < 1_000_000m;
        if (!timed || line.Length < way + 3 || line[way + 1] is not ('<' or '>') || line[way + 2] != ' ')
            throw Wrong(number, line, "a line is 'seconds > bytes', 'seconds < bytes' or '= what was found'");
        return new TranscriptEntry((long)(seconds * 1_000_000m), line[way + 1] == '<', Bytes(number, line[(way + 3)..]));
    }

    private static byte[] Bytes(int number, string text)
    {
        List<byte> bytes = [];
        for (int i = 0; i < text.Length; i++)
        {
            if (text[i] != '\\')
                bytes.Add(text[i] is >= ' ' and <= '~' ? (byte)text[i] : throw Wrong(number, text, "other bytes than printable ASCII are written \\xHH"));
            else if (i + 3 < text.Length && text[i + 1] == 'x' && byte.TryParse(text.AsSpan(i + 2, 2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out byte value))
                (bytes, i) = ([.. bytes, value], i + 3);
            else
                throw Wrong(number, text, "a backslash begins \\xHH with two hexadecimal digits");
        }

        return [.. bytes];
    }

    private static FormatException Wrong(int number, string line, string rule) =>
        new($"line {number}: '{ReplyText.Printable(Encoding.ASCII.GetBytes(line))}'; {rule}");
}
