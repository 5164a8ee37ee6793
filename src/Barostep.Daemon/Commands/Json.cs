using System.Text.Encodings.Web;
using System.Text.Json;

namespace Barostep.Daemon.Commands;

/// <summary>How commands write JSON.</summary>
internal static class Json
{
    public static readonly JsonSerializerOptions Indented = new()
    {
        WriteIndented = true,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    /// <summary>Writes one document.</summary>
    public static void Write(TextWriter output, object document) => output.WriteLine(JsonSerializer.Serialize(document, Indented));
}
