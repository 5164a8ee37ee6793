using System.Text.Json;

namespace Barostep.Tests.Api;

/// <summary>Holds JSON to a schema of an OpenAPI 3.1 document: the part of JSON Schema 2020-12 that such documents use.</summary>
internal sealed class SchemaCheck(JsonElement document)
{
    /// <summary>Everything that does not fit, each with its place.</summary>
    public List<string> Check(JsonElement schema, JsonElement value)
    {
        var faults = new List<string>();
        Check(schema, value, "$", faults);
        return faults;
    }

    private void Check(JsonElement schema, JsonElement value, string at, List<string> faults)
    {
        if (schema.TryGetProperty("$ref", out JsonElement reference))
        {
            Check(Resolve(reference.GetString()!), value, at, faults);
            return;
        }

        foreach (string choice in new[] { "oneOf", "anyOf" })
        {
            if (schema.TryGetProperty(choice, out JsonElement choices) && !choices.EnumerateArray().Any(one => Check(one, value).Count == 0))
                faults.Add($"{at}: fits none of {choice}");
        }

        if (schema.TryGetProperty("type", out JsonElement type) && !Types(type).Any(name => Is(name, value)))
            faults.Add($"{at}: {value.ValueKind} is not {type}");
        if (schema.TryGetProperty("enum", out JsonElement words) && !words.EnumerateArray().Any(word => word.ToString() == value.ToString()))
            faults.Add($"{at}: {value} is none of {words}");
        if (value.ValueKind == JsonValueKind.Object)
            CheckMembers(schema, value, at, faults);
        if (value.ValueKind == JsonValueKind.Array && schema.TryGetProperty("items", out JsonElement items))
        {
            foreach ((int i, JsonElement item) in value.EnumerateArray().Index())
                Check(items, item, $"{at}[{i}]", faults);
        }
    }

    private void CheckMembers(JsonElement schema, JsonElement value, string at, List<string> faults)
    {
        if (schema.TryGetProperty("required", out JsonElement required))
            faults.AddRange(required.EnumerateArray().Where(name => !value.TryGetProperty(name.GetString()!, out _)).Select(name => $"{at}: lacks {name}"));
        if (!schema.TryGetProperty("properties", out JsonElement properties))
            return;
        foreach (JsonProperty member in value.EnumerateObject())
        {
            if (properties.TryGetProperty(member.Name, out JsonElement known))
                Check(known, member.Value, $"{at}.{member.Name}", faults);
            else
                faults.Add($"{at}: {member.Name} is not described");
        }
    }

    private JsonElement Resolve(string reference) =>
        reference.Split('/').Skip(1).Aggregate(document, (place, name) => place.GetProperty(name));

    private static IEnumerable<string?> Types(JsonElement type) =>
        type.ValueKind == JsonValueKind.Array ? type.EnumerateArray().Select(one => one.GetString()) : [type.GetString()];

    private static bool Is(string? type, JsonElement value) => type switch
    {
        "null" => value.ValueKind == JsonValueKind.Null,
        "string" => value.ValueKind == JsonValueKind.String,
        "boolean" => value.ValueKind is JsonValueKind.True or JsonValueKind.False,
        "integer" => value.ValueKind == JsonValueKind.Number && value.TryGetInt64(out _),
        "number" => value.ValueKind == JsonValueKind.Number,
        "array" => value.ValueKind == JsonValueKind.Array,
        "object" => value.ValueKind == JsonValueKind.Object,
        _ => false,
    };
}
