using System.Text.Json;
using System.Text.Json.Serialization;

namespace Barostep.Daemon.Api;

/// <summary>How the interface writes and reads JSON.</summary>
internal static class ApiJson
{
    public static readonly JsonSerializerOptions Options = Set(new JsonSerializerOptions(JsonSerializerDefaults.Web));

    /// <summary>Words in camel case; a body with a member too many or too few is refused rather than half understood.</summary>
    public static JsonSerializerOptions Set(JsonSerializerOptions options)
    {
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.CamelCase));
        options.NumberHandling = JsonNumberHandling.Strict;
        options.UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow;
        options.RespectRequiredConstructorParameters = true;
        options.RespectNullableAnnotations = true;
        return options;
    }
}
