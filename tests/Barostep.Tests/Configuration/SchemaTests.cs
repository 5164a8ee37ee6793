using System.Text.Json;
using Tomlyn;
using Tomlyn.Model;

namespace Barostep.Tests.Configuration;

/// <summary>
/// The schemas for editors name the keys that the page lists, which are those that the readers take
/// (<see cref="ConfigurationPageTests"/>), and every shipped file is valid by them.
/// </summary>
public sealed class SchemaTests
{
    private static readonly string Folder = Path.Combine(ShippedConfiguration.Repository, "config", "schemas");

    private static readonly Dictionary<string, string> Kinds = new(StringComparer.Ordinal)
    {
        ["barostep.toml"] = "barostep",
        ["benches"] = "bench",
        ["devices"] = "device",
        ["procedures"] = "procedure",
        ["standards"] = "standard",
        ["jobs"] = "job",
        ["instruments"] = "instrument",
    };

    public static TheoryData<string> Files() =>
        [.. Directory.GetFiles(ShippedConfiguration.Folder, "*.toml", SearchOption.AllDirectories)
            .Select(path => Path.GetRelativePath(ShippedConfiguration.Folder, path)).Where(path => !path.StartsWith('.')).Order(StringComparer.Ordinal)];

    public static TheoryData<string, string> Tables() => ConfigurationPageTests.Tables();

    [Theory]
    [MemberData(nameof(Tables))]
    public void A_schema_has_the_keys_that_the_page_lists(string file, string table)
    {
        JsonElement at = Schema(Kinds[file.Split('/')[0]]);
        JsonElement root = at;
        foreach (string name in table.Split('.', StringSplitOptions.RemoveEmptyEntries))
        {
            if (name != "NAME")
                at = at.GetProperty("properties").GetProperty(name);
            else if (at.GetProperty("additionalProperties").ValueKind == JsonValueKind.Object)
                at = at.GetProperty("additionalProperties");
            else
                at = root.GetProperty("$defs").GetProperty("exchange");
        }

        // The keys of a Modbus exchange are told in words on the page.
        string[] told = table == "exchange.NAME" ? ["function", "register"] : [];
        Assert.Equal(
            ConfigurationPageTests.KeysOnPage(file, table).Concat(told).Order(StringComparer.Ordinal),
            at.GetProperty("properties").EnumerateObject().Select(property => property.Name).Order(StringComparer.Ordinal));
    }

    [Theory]
    [MemberData(nameof(Files))]
    public void A_shipped_file_is_valid_by_its_schema(string file) =>
        Assert.Empty(Faults(file, File.ReadAllText(Path.Combine(ShippedConfiguration.Folder, file))));

    [Theory]
    [InlineData("parity = \"none\"", "parity = \"noen\"", "line.parity")]
    [InlineData("baud = 9600", "baud = \"9600\"", "line.baud")]
    [InlineData("[framing]", "[freming]", "freming")]
    [InlineData("[exchange.read_unit]", "[exchange.raed_unit]", "exchange.raed_unit")]
    [InlineData("title = ", "titel = ", "title")]
    public void A_spoilt_file_is_not(string from, string to, string place)
    {
        string text = File.ReadAllText(Path.Combine(ShippedConfiguration.Folder, "instruments", "fixed-gauge.toml"));

        Assert.Contains(place, Faults("instruments/fixed-gauge.toml", text.Replace(from, to, StringComparison.Ordinal)));
    }

    [Fact]
    public void Every_exchange_that_a_definition_can_have_is_in_its_schema() =>
        Assert.Equal(
            Barostep.Configuration.Files.CapabilityNames.All.Keys.Order(StringComparer.Ordinal),
            Schema("instrument").GetProperty("properties").GetProperty("exchange").GetProperty("properties").EnumerateObject().Select(one => one.Name).Order(StringComparer.Ordinal));

    private static JsonElement Schema(string kind)
    {
        JsonElement schema = JsonDocument.Parse(File.ReadAllText(Path.Combine(Folder, $"{kind}.schema.json"))).RootElement;
        Assert.Equal("https://json-schema.org/draft/2020-12/schema", schema.GetProperty("$schema").GetString());
        return schema;
    }

    private static List<string> Faults(string file, string text)
    {
        JsonElement schema = Schema(Kinds[file.Split('/')[0]]);
        List<string> faults = [];
        Check(TomlSerializer.Deserialize<TomlTable>(text)!, schema, schema, string.Empty, faults);
        return faults;
    }

    /// <summary>The few words of the vocabulary that these schemas use.</summary>
    private static void Check(object value, JsonElement schema, JsonElement root, string path, List<string> faults)
    {
        if (schema.TryGetProperty("$ref", out JsonElement link))
            schema = root.GetProperty("$defs").GetProperty(link.GetString()!["#/$defs/".Length..]);
        string type = schema.TryGetProperty("type", out JsonElement named) ? named.GetString()! : string.Empty;
        bool fits = type switch
        {
            "" => true,
            "string" => value is string,
            "integer" => value is long,
            "number" => value is long or double,
            "boolean" => value is bool,
            "array" => value is TomlArray,
            "object" => value is TomlTable,
            _ => throw new NotSupportedException($"type {type}"),
        };
        if (!fits || (schema.TryGetProperty("enum", out JsonElement words) && !words.EnumerateArray().Any(word => word.GetString() == value as string)))
            faults.Add(path);
        if (value is TomlTable table && fits && type == "object")
            CheckTable(table, schema, root, path, faults);
    }

    private static void CheckTable(TomlTable table, JsonElement schema, JsonElement root, string path, List<string> faults)
    {
        if (schema.TryGetProperty("required", out JsonElement required))
            faults.AddRange(required.EnumerateArray().Select(key => key.GetString()!).Where(key => !table.ContainsKey(key)).Select(key => Join(path, key)));
        foreach ((string key, object inner) in table)
        {
            if (schema.TryGetProperty("properties", out JsonElement properties) && properties.TryGetProperty(key, out JsonElement known))
                Check(inner, known, root, Join(path, key), faults);
            else if (schema.GetProperty("additionalProperties") is { ValueKind: JsonValueKind.Object } any)
                Check(inner, any, root, Join(path, key), faults);
            else
                faults.Add(Join(path, key));
        }
    }

    private static string Join(string path, string key) => path.Length == 0 ? key : $"{path}.{key}";
}
