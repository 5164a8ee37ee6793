using System.Text.RegularExpressions;
using Tomlyn.Syntax;

namespace Barostep.Configuration.Toml;

/// <summary>Tells the parser's findings in words that say what to write.</summary>
internal static partial class SyntaxErrors
{
    /// <summary>Reports the first finding on each line and gives back the lines concerned, counted from 1.</summary>
    /// <remarks>Later findings on a line follow from the first, and what is left open runs on to the end of the file.</remarks>
    public static IReadOnlySet<int> Report(DiagnosticsBag findings, string file, string text, ErrorList errors)
    {
        string[] lines = text.Split('\n');
        var broken = new SortedSet<int>();
        bool open = false;
        foreach (DiagnosticMessage finding in findings.OrderBy(finding => finding.Span.Start.Offset))
        {
            int line = finding.Span.Start.Line + 1;
            bool first = broken.Add(line);
            if (!first || open)
                continue;
            string written = line <= lines.Length ? lines[line - 1].TrimEnd('\r') : string.Empty;
            open = IsOpenText(finding.Message) || OpenHeader().IsMatch(written);
            errors.Add(Explain(new SourcePosition(file, line, finding.Span.Start.Column + 1), written, finding.Message));
        }

        return broken;
    }

    private static ConfigurationError Explain(SourcePosition where, string line, string message)
    {
        if (DecimalComma().Match(line) is { Success: true } comma)
        {
            return new ConfigurationError(Start(comma), $"{comma.Groups["value"].Value} has a comma",
                "the decimal sign is a point and thousands are not separated",
                $"write {comma.Groups["value"].Value.Replace(',', '.')}, in quotation marks with its unit if it is a quantity");
        }

        if (BareQuantity().Match(line) is { Success: true } bare)
        {
            string value = bare.Groups["value"].Value.Trim();
            return new ConfigurationError(Start(bare), $"{MessageText.OneLine(value)} has no quotation marks",
                "a quantity is written as text", $"write \"{MessageText.OneLine(value)}\"");
        }

        if (OpenHeader().Match(line) is { Success: true } header)
        {
            return new ConfigurationError(Start(header), $"{header.Groups["value"].Value} is not closed",
                "a table's name stands in square brackets", $"write {header.Groups["value"].Value}]");
        }

        if (IsOpenText(message))
        {
            return new ConfigurationError(where, "the text is not closed before the end of its line",
                "a text begins and ends with a quotation mark on one line", "add the closing quotation mark");
        }

        return new ConfigurationError(where, MessageText.OneLine(char.ToLowerInvariant(message[0]) + message[1..]),
            "a line is key = value, [table] or # comment", "correct this line");

        SourcePosition Start(Match match) => where with { Column = match.Groups["value"].Index + 1 };
    }

    private static bool IsOpenText(string message) =>
        message.Contains("Invalid newline in a string", StringComparison.Ordinal)
        || message.Contains("Invalid End-Of-File found on string", StringComparison.Ordinal);

    [GeneratedRegex("""^\s*(?<value>\[[\w.\-]+)\s*(#.*)?$""", RegexOptions.CultureInvariant)]
    private static partial Regex OpenHeader();

    [GeneratedRegex("""^\s*[\w.\-]+\s*=\s*(?<value>[+-]?\d+,\d+)""", RegexOptions.CultureInvariant)]
    private static partial Regex DecimalComma();

    [GeneratedRegex("""^\s*[\w.\-]+\s*=\s*(?<value>[+-]?[\d.]+\s*[A-Za-z%][^#"']*)""", RegexOptions.CultureInvariant)]
    private static partial Regex BareQuantity();
}
