namespace Barostep.Configuration.Toml;

/// <summary>What the readers of one file share: where errors go, where origins go, and whether it can be used.</summary>
internal sealed class FileContext(string file, ErrorList errors, SourceMap origins)
{
    private IReadOnlySet<int> _brokenLines = new HashSet<int>();

    /// <summary>Path below the configuration folder.</summary>
    public string File { get; } = file;

    public SourceMap Origins { get; } = origins;

    /// <summary>
    /// Whether every value could be read, so that a definition can be made of it for further checks. An unknown key
    /// does not spoil that.
    /// </summary>
    public bool IsUsable { get; private set; } = true;

    public TableReader Parse(string text)
    {
        TomlTree tree = TomlTree.Parse(File, text, errors);
        _brokenLines = tree.BrokenLines;
        if (_brokenLines.Count > 0)
            IsUsable = false;
        return new TableReader(tree.Root, this);
    }

    public void NotUsable() => IsUsable = false;

    /// <summary>A value that cannot be used.</summary>
    public void Report(SourcePosition where, string found, string rule, string instead)
    {
        IsUsable = false;
        ReportKeepingUsable(where, found, rule, instead);
    }

    /// <summary>Something wrong that leaves all values readable.</summary>
    public void ReportKeepingUsable(SourcePosition where, string found, string rule, string instead)
    {
        if (!_brokenLines.Contains(where.Line))
            errors.Add(where, found, rule, instead);
    }

    /// <summary>A key that is not there; not said where a syntax error may have hidden it.</summary>
    public void ReportMissing(SourcePosition where, string path, string write)
    {
        IsUsable = false;
        if (_brokenLines.Count == 0)
            errors.Add(where, $"{path} is missing", "this key has no default", $"write {write}");
    }
}
