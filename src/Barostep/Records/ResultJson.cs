using System.Text.Encodings.Web;
using System.Text.Json;
using Barostep.Evaluation;

namespace Barostep.Records;

/// <summary>A result without a record: what is said of readings that no run of this program took.</summary>
public static class ResultJson
{
    private static readonly JsonWriterOptions _options = new()
    {
        Indented = true,
        NewLine = "\n",
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    /// <summary>One document with the names of device and procedure, and the member <c>result</c> as in run.json.</summary>
    public static void Write(Stream stream, RunResult result)
    {
        ArgumentNullException.ThrowIfNull(result);
        using Utf8JsonWriter json = new(stream, _options);
        json.WriteStartObject();
        json.WriteString("kind", "barostep-result");
        json.WriteNumber("schemaVersion", RunJson.SchemaVersion);
        json.WriteString("id", result.Record.Id);
        json.WriteString("device", result.Record.Device.Name);
        json.WriteString("procedure", result.Record.Procedure.Name);
        json.WritePropertyName("result");
        ResultJsonWriter.Result(json, result);
        json.WriteEndObject();
    }
}
