using System.Globalization;
using Tomlyn.Parsing;
using Tomlyn.Syntax;

namespace Barostep.Configuration.Toml;

/// <summary>Turns a file's text into tables with places, and reports syntax errors and duplicates.</summary>
/// <remarks>
/// Built from the parser's syntax tree: the parser's own object binder drops unknown keys without a word, and a
/// misspelt ceiling that is silently ignored is the accident that this is here to prevent.
/// </remarks>
internal sealed class TomlTree
{
    private readonly string _file;
    private readonly ErrorList _errors;

    private TomlTree(string file, ErrorList errors)
    {
        _file = file;
        _errors = errors;
        Root = new TomlTable(string.Empty, new SourcePosition(file, 1, 1)) { IsDefined = true };
    }

    public TomlTable Root { get; }

    /// <summary>Lines with a syntax error; what else is wrong there follows from it.</summary>
    public IReadOnlySet<int> BrokenLines { get; private set; } = new HashSet<int>();

    public static TomlTree Parse(string file, string text, ErrorList errors)
    {
        var tree = new TomlTree(file, errors);
        DocumentSyntax document = SyntaxParser.Parse(text, file, validate: false);
        tree.BrokenLines = SyntaxErrors.Report(document.Diagnostics, file, text, errors);
        foreach (KeyValueSyntax item in document.KeyValues)
            tree.Insert(tree.Root, item);
        foreach (TableSyntaxBase table in document.Tables)
            tree.AddTable(table);
        return tree;
    }

    private void AddTable(TableSyntaxBase syntax)
    {
        SourcePosition where = At(syntax);
        if (syntax.Name is not { } name)
            return;
        TomlTable table = syntax is TableArraySyntax ? RefuseTableList(name, where) : OpenTable(Root, PartsOf(name), where);
        if (table.IsDefined && syntax is TableSyntax)
        {
            // Its keys would only repeat the complaint.
            Report(where, $"[{string.Join('.', PartsOf(name))}] is written a second time (first on line {table.Where.Line})",
                "each table is written once", "put all its keys under the first one");
            return;
        }

        table.IsDefined = true;
        foreach (KeyValueSyntax item in syntax.Items)
            Insert(table, item);
    }

    private TomlTable RefuseTableList(KeySyntax name, SourcePosition where)
    {
        string path = string.Join('.', PartsOf(name));
        Report(where, $"[[{path}]] begins a list of tables", "every table has a name of its own", $"write [{path}.NAME] instead");
        return new TomlTable(path, where);
    }

    private void Insert(TomlTable table, KeyValueSyntax item)
    {
        if (item.Key is null)
            return;
        List<string> parts = PartsOf(item.Key);
        TomlTable parent = OpenTable(table, parts[..^1], At(item.Key));
        SourcePosition valueAt = item.Value is null ? At(item.Key) : At(item.Value);
        TomlValue value = Read(item.Value, parent.PathOf(parts[^1]), valueAt);
        AddOnce(parent, new TomlEntry(parts[^1], At(item.Key), valueAt, value, Written(item.Value)));
    }

    private void AddOnce(TomlTable table, TomlEntry entry)
    {
        if (table.Find(entry.Key) is { } first)
        {
            Report(entry.KeyAt, $"{table.PathOf(entry.Key)} is written a second time (first on line {first.KeyAt.Line})",
                "each key is written once", "delete one of the two");
            return;
        }

        table.Add(entry);
    }

    private TomlTable OpenTable(TomlTable from, IReadOnlyList<string> parts, SourcePosition where)
    {
        TomlTable table = from;
        foreach (string part in parts)
        {
            if (table.Find(part) is { } entry)
            {
                if (entry.Value is TomlValue.Table inner)
                {
                    table = inner.Value;
                    continue;
                }

                Report(where, $"{table.PathOf(part)} is used as a table, but has a value on line {entry.KeyAt.Line}",
                    "a key has either a value or keys below it", "rename one of the two");
                return new TomlTable(table.PathOf(part), where);
            }

            var made = new TomlTable(table.PathOf(part), where);
            table.Add(new TomlEntry(part, where, where, new TomlValue.Table(made), $"[{made.Path}]"));
            table = made;
        }

        return table;
    }

    private TomlValue Read(ValueSyntax? syntax, string path, SourcePosition where) => syntax switch
    {
        StringValueSyntax text => new TomlValue.Text(text.Value ?? string.Empty),
        IntegerValueSyntax whole => new TomlValue.Whole(whole.Value),
        FloatValueSyntax number => new TomlValue.Number(number.Value),
        BooleanValueSyntax truth => new TomlValue.Truth(truth.Value),
        DateTimeValueSyntax date => new TomlValue.Date(DayOf(date)),
        ArraySyntax list => new TomlValue.List([.. ItemsOf(list, path)]),
        InlineTableSyntax table => new TomlValue.Table(TableOf(table, path, where)),
        _ => new TomlValue.Broken(),
    };

    private static DateOnly? DayOf(DateTimeValueSyntax date) =>
        DateOnly.TryParseExact(date.Token?.Text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly day) ? day : null;

    private IEnumerable<TomlEntry> ItemsOf(ArraySyntax list, string path)
    {
        int index = 0;
        foreach (ArrayItemSyntax item in list.Items)
        {
            if (item.Value is null)
                continue;
            SourcePosition at = At(item.Value);
            string name = $"{path}.{index++}";
            yield return new TomlEntry(name, at, at, Read(item.Value, name, at), Written(item.Value));
        }
    }

    private TomlTable TableOf(InlineTableSyntax syntax, string path, SourcePosition where)
    {
        var table = new TomlTable(path, where) { IsDefined = true };
        foreach (InlineTableItemSyntax item in syntax.Items)
        {
            if (item.KeyValue is { } keyValue)
                Insert(table, keyValue);
        }

        return table;
    }

    private static List<string> PartsOf(KeySyntax key)
    {
        var parts = new List<string> { PartOf(key.Key) };
        foreach (DottedKeyItemSyntax dotted in key.DotKeys)
            parts.Add(PartOf(dotted.Key));
        return parts;
    }

    private static string PartOf(BareKeyOrStringValueSyntax? part) => part switch
    {
        BareKeySyntax bare => bare.Key?.Text ?? string.Empty,
        StringValueSyntax text => text.Value ?? string.Empty,
        _ => string.Empty,
    };

    private static string Written(ValueSyntax? value)
    {
        string text = value switch
        {
            null => string.Empty,
            StringValueSyntax scalar => scalar.Token?.Text ?? string.Empty,
            IntegerValueSyntax scalar => scalar.Token?.Text ?? string.Empty,
            FloatValueSyntax scalar => scalar.Token?.Text ?? string.Empty,
            BooleanValueSyntax scalar => scalar.Token?.Text ?? string.Empty,
            DateTimeValueSyntax scalar => scalar.Token?.Text ?? string.Empty,
            ArraySyntax => "a list",
            _ => "a table",
        };
        return MessageText.OneLine(text);
    }

    private SourcePosition At(SyntaxNodeBase node) => new(_file, node.Span.Start.Line + 1, node.Span.Start.Column + 1);

    private void Report(SourcePosition where, string found, string rule, string instead) =>
        _errors.Add(where, found, rule, instead);
}
