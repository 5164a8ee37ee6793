using System.Text.Encodings.Web;
using System.Text.Json;
using Barostep.Evaluation;

namespace Barostep.Records;

/// <summary>run.json: the full record and its result. The order of members is fixed, so one record gives the same bytes.</summary>
public static class RunJson
{
    /// <summary>Raised when a member changes its meaning or goes; members may be added without.</summary>
    public const int SchemaVersion = 1;

    private const string Kind = "barostep-run";

    // The file is read as text by people and never placed inside HTML, so a degree sign may stay one.
    private static readonly JsonWriterOptions _options = new()
    {
        Indented = true,
        NewLine = "\n",
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    public static void Write(Stream stream, RunResult result)
    {
        using (Utf8JsonWriter json = new(stream, _options))
        {
            json.WriteStartObject();
            json.WriteString("kind", Kind);
            json.WriteNumber("schemaVersion", SchemaVersion);
            json.WritePropertyName("record");
            RecordJsonWriter.Record(json, result.Record);
            json.WritePropertyName("result");
            ResultJsonWriter.Result(json, result);
            json.WriteEndObject();
        }

        stream.WriteByte((byte)'\n');
    }

    /// <summary>Reads the record back; the result in the file is ignored, since evaluation makes it again.</summary>
    /// <exception cref="FormatException">The text is no run.json; the message says where and why.</exception>
    public static RunRecord Read(Stream stream)
    {
        using JsonDocument document = Parse(stream);
        JsonPlace root = new(document.RootElement, string.Empty);
        if (root.Member("kind").Text() != Kind)
            throw new FormatException($"kind is \"{root.Member("kind").Text()}\", but a run.json has \"{Kind}\"");
        long version = root.Member("schemaVersion").Whole();
        if (version != SchemaVersion)
            throw new FormatException($"schemaVersion is {version}, but this program reads version {SchemaVersion}; use the program that wrote the file");
        return RecordJsonReader.Record(root.Member("record"));
    }

    private static JsonDocument Parse(Stream stream)
    {
        try
        {
            return JsonDocument.Parse(stream);
        }
        catch (JsonException e)
        {
            throw new FormatException($"line {e.LineNumber + 1}, column {e.BytePositionInLine + 1} is not valid JSON", e);
        }
    }
}
