namespace Barostep.Configuration;

/// <summary>A place in a configuration file.</summary>
/// <param name="File">Path below the configuration folder, with forward slashes: <c>benches/demo.toml</c>.</param>
/// <param name="Line">Counted from 1; 0 where only the file is known.</param>
/// <param name="Column">Counted from 1, in characters; 0 likewise.</param>
public readonly record struct SourcePosition(string File, int Line, int Column) : IComparable<SourcePosition>
{
    /// <summary>The form beside a limit: <c>benches/demo.toml:12</c>.</summary>
    public string FileAndLine => Line > 0 ? $"{File}:{Line}" : File;

    public static bool operator <(SourcePosition a, SourcePosition b) => a.CompareTo(b) < 0;

    public static bool operator >(SourcePosition a, SourcePosition b) => a.CompareTo(b) > 0;

    public static bool operator <=(SourcePosition a, SourcePosition b) => a.CompareTo(b) <= 0;

    public static bool operator >=(SourcePosition a, SourcePosition b) => a.CompareTo(b) >= 0;

    public int CompareTo(SourcePosition other)
    {
        int byFile = string.CompareOrdinal(File, other.File);
        int byLine = byFile != 0 ? byFile : Line.CompareTo(other.Line);
        return byLine != 0 ? byLine : Column.CompareTo(other.Column);
    }

    public override string ToString() => Line > 0 ? $"{File}:{Line}:{Column}" : File;
}
