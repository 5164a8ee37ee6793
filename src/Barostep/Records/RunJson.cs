using Barostep.Evaluation;

namespace Barostep.Records;

/// <summary>run.json: the full record and its result. The order of members is fixed, so one record gives the same bytes.</summary>
public static class RunJson
{
    public const int SchemaVersion = 1;

    public static void Write(Stream stream, RunResult result) => throw new NotImplementedException();

    /// <summary>Reads the record back; the result in the file is ignored, since evaluation makes it again.</summary>
    /// <exception cref="FormatException">The text is no run.json; the message says where and why.</exception>
    public static RunRecord Read(Stream stream) => throw new NotImplementedException();
}
