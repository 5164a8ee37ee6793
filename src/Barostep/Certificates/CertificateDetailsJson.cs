using System.Text.Json;
using System.Text.Json.Serialization;

namespace Barostep.Certificates;

/// <summary>What a certificate was made from beside its runs, so that it can be made again.</summary>
public static class CertificateDetailsJson
{
    private static readonly JsonSerializerOptions _options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase) },
        WriteIndented = true,
        NewLine = "\n",
    };

    public static byte[] Write(CertificateDetails details) => JsonSerializer.SerializeToUtf8Bytes(details, _options);

    /// <exception cref="FormatException">The bytes are not what <see cref="Write"/> writes.</exception>
    public static CertificateDetails Read(ReadOnlySpan<byte> bytes)
    {
        try
        {
            return JsonSerializer.Deserialize<CertificateDetails>(bytes, _options) ?? throw new FormatException("the details of the certificate are empty");
        }
        catch (JsonException e)
        {
            throw new FormatException($"line {e.LineNumber + 1} of the certificate's details cannot be read", e);
        }
    }
}
