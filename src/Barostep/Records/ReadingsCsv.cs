namespace Barostep.Records;

/// <summary>readings.csv: every sample of a run, void and zero readings included (RFC 4180, UTF-8, CRLF).</summary>
public static class ReadingsCsv
{
    /// <summary>Header names, in order; units are part of the names.</summary>
    public static IReadOnlyList<string> Columns { get; } = [];

    public static void Write(Stream stream, RunRecord record) => throw new NotImplementedException();
}
