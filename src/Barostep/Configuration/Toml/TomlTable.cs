namespace Barostep.Configuration.Toml;

/// <summary>A table of a TOML file with the place of every key and value.</summary>
/// <param name="path">Dotted path from the root; empty for the root.</param>
/// <param name="where">Place of the header, of the brace, or of the file's start.</param>
internal sealed class TomlTable(string path, SourcePosition where)
{
    private readonly Dictionary<string, TomlEntry> _byKey = new(StringComparer.Ordinal);

    public string Path { get; } = path;

    public SourcePosition Where { get; } = where;

    /// <summary>Whether a header <c>[path]</c> or braces wrote it; a second one would be a duplicate.</summary>
    public bool IsDefined { get; set; }

    /// <summary>In the order written.</summary>
    public List<TomlEntry> Entries { get; } = [];

    public TomlEntry? Find(string key) => _byKey.GetValueOrDefault(key);

    public void Add(TomlEntry entry)
    {
        _byKey.Add(entry.Key, entry);
        Entries.Add(entry);
    }

    public string PathOf(string key) => Path.Length == 0 ? key : $"{Path}.{key}";
}

/// <summary>One key with its value.</summary>
/// <param name="Key">The last part of the key.</param>
/// <param name="KeyAt">Place of the key.</param>
/// <param name="ValueAt">Place of the value.</param>
/// <param name="Value">What the value is.</param>
/// <param name="Written">The value as it stands in the file, for messages.</param>
internal sealed record TomlEntry(string Key, SourcePosition KeyAt, SourcePosition ValueAt, TomlValue Value, string Written);

/// <summary>The kinds of value that a configuration file can hold.</summary>
internal abstract record TomlValue
{
    internal sealed record Text(string Value) : TomlValue;

    internal sealed record Whole(long Value) : TomlValue;

    internal sealed record Number(double Value) : TomlValue;

    internal sealed record Truth(bool Value) : TomlValue;

    internal sealed record List(IReadOnlyList<TomlEntry> Items) : TomlValue;

    internal sealed record Table(TomlTable Value) : TomlValue;

    /// <summary>A date, or a time or a moment: those have no day, and no key takes one.</summary>
    internal sealed record Date(DateOnly? Day) : TomlValue;

    /// <summary>Not readable; the syntax error at its place has been reported.</summary>
    internal sealed record Broken : TomlValue;
}
