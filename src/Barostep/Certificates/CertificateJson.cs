using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace Barostep.Certificates;

/// <summary>certificate.json: the whole model, member by member. The same certificate gives the same bytes.</summary>
public static class CertificateJson
{
    /// <summary>Raised when a member changes its meaning or goes; members may be added without.</summary>
    public const int SchemaVersion = 1;

    // Nothing known is left out, and nothing unknown either: it is null. The file is never placed inside HTML.
    private static readonly JsonSerializerOptions _options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase) },
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        WriteIndented = true,
        NewLine = "\n",
    };

    public static void Write(Stream stream, Certificate certificate)
    {
        JsonSerializer.Serialize(stream, new File("barostep-certificate", SchemaVersion, certificate), _options);
        stream.WriteByte((byte)'\n');
    }

    /// <summary>The same as a tree, for formats that list everything.</summary>
    internal static JsonElement Tree(Certificate certificate) => JsonSerializer.SerializeToElement(certificate, _options);

    private sealed record File(string Kind, int SchemaVersion, Certificate Certificate);
}
