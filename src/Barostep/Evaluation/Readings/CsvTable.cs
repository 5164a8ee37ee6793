using System.Text;
using Barostep.Configuration;

namespace Barostep.Evaluation.Readings;

/// <summary>One field of a CSV file with its place.</summary>
internal sealed record CsvField(string Text, SourcePosition Where);

/// <summary>Splits a CSV file (RFC 4180) into fields; a line ends with CRLF or LF, and a last line need not end.</summary>
internal sealed class CsvTable
{
    private readonly string _file;
    private readonly string _text;
    private readonly ErrorList _errors;
    private int _at;
    private int _line = 1;
    private int _lineStart;

    private CsvTable(string file, string text, ErrorList errors)
    {
        _file = file;
        _text = text;
        _errors = errors;
    }

    private SourcePosition Here => new(_file, _line, _at - _lineStart + 1);

    private char? Current => _at < _text.Length ? _text[_at] : null;

    /// <summary>All records that hold anything, the header first; what is wrong is reported, and the reading ends there.</summary>
    public static IReadOnlyList<IReadOnlyList<CsvField>> Read(string file, string text, ErrorList errors)
    {
        CsvTable table = new(file, text, errors);
        List<IReadOnlyList<CsvField>> records = [];
        while (table.Current is not null && errors.Count == 0)
        {
            List<CsvField> record = table.Record();
            if (record.Count > 1 || record[0].Text.Length > 0)
                records.Add(record);
        }

        return records;
    }

    private List<CsvField> Record()
    {
        List<CsvField> fields = [];
        while (true)
        {
            SourcePosition where = Here;
            fields.Add(new CsvField(Current == '"' ? Quoted(where) : Plain(), where));
            if (Current == ',')
            {
                _at++;
                continue;
            }

            if (Current is not null && !EndLine())
            {
                _errors.Add(Here, $"'{Current}' after the closing quotation mark", "after it comes a comma or the end of the line", "double a quotation mark that belongs to the text");
                _at = _text.Length;
            }

            return fields;
        }
    }

    private string Plain()
    {
        int start = _at;
        while (Current is { } c && c is not (',' or '\n' or '"') && !(c == '\r' && _at + 1 < _text.Length && _text[_at + 1] == '\n'))
            _at++;
        if (Current == '"')
        {
            _errors.Add(Here, "a quotation mark inside a field that does not begin with one", "a field with a quotation mark stands in quotation marks", "write the field as \"...\" with \"\" inside");
            _at = _text.Length;
            return string.Empty;
        }

        return _text[start.._at];
    }

    private string Quoted(SourcePosition opening)
    {
        StringBuilder text = new();
        for (_at++; Current is { } c; _at++)
        {
            if (c == '"' && _at + 1 < _text.Length && _text[_at + 1] == '"')
            {
                text.Append(c);
                _at++;
            }
            else if (c == '"')
            {
                _at++;
                return text.ToString();
            }
            else
            {
                text.Append(c);
                if (c == '\n')
                    NextLine(_at + 1);
            }
        }

        _errors.Add(opening, "a quotation mark that is not closed", "a field ends with the quotation mark that it begins with", "close it");
        return string.Empty;
    }

    private bool EndLine()
    {
        if (Current == '\r' && _at + 1 < _text.Length && _text[_at + 1] == '\n')
            _at++;
        if (Current != '\n')
            return false;
        _at++;
        NextLine(_at);
        return true;
    }

    private void NextLine(int start)
    {
        _line++;
        _lineStart = start;
    }
}
