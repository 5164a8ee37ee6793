using System.Globalization;
using System.Text.Json;
using Barostep.Safety;

namespace Barostep.Records;

/// <summary>A value inside a JSON document together with where it stands, so that an error can say so.</summary>
internal readonly record struct JsonPlace(JsonElement Element, string Path)
{
    public JsonPlace Member(string name)
    {
        Expect(JsonValueKind.Object, "an object");
        if (!Element.TryGetProperty(name, out JsonElement member))
            throw new FormatException($"{PathTo(name)} is missing");
        return new JsonPlace(member, PathTo(name));
    }

    /// <summary>A member that a file may lack or leave null: what was added after files had been written.</summary>
    public JsonPlace? MemberIfAny(string name)
    {
        Expect(JsonValueKind.Object, "an object");
        return Element.TryGetProperty(name, out JsonElement member) && member.ValueKind != JsonValueKind.Null
            ? new JsonPlace(member, PathTo(name))
            : null;
    }

    public IEnumerable<KeyValuePair<string, JsonPlace>> Members()
    {
        Expect(JsonValueKind.Object, "an object");
        string path = Path;
        return Element.EnumerateObject()
            .Select(member => KeyValuePair.Create(member.Name, new JsonPlace(member.Value, $"{path}.{member.Name}")));
    }

    public IEnumerable<JsonPlace> Items()
    {
        Expect(JsonValueKind.Array, "a list");
        string path = Path;
        return Element.EnumerateArray().Select((item, at) => new JsonPlace(item, $"{path}[{at}]"));
    }

    public string Text()
    {
        Expect(JsonValueKind.String, "a text");
        return Element.GetString()!;
    }

    public double Number()
    {
        Expect(JsonValueKind.Number, "a number");
        return Element.GetDouble();
    }

    public long Whole() => Element.ValueKind == JsonValueKind.Number && Element.TryGetInt64(out long value)
        ? value
        : throw Wrong("a whole number");

    public int Count() => Whole() is >= 0 and <= int.MaxValue and long value ? (int)value : throw Wrong("a count");

    public bool Flag() => Element.ValueKind switch
    {
        JsonValueKind.True => true,
        JsonValueKind.False => false,
        _ => throw Wrong("true or false"),
    };

    public DateTimeOffset Moment() => Element.ValueKind == JsonValueKind.String && Element.TryGetDateTimeOffset(out DateTimeOffset value)
        ? value
        : throw Wrong("a moment like \"2026-01-31T08:15:00Z\"");

    public DateOnly Day() => DateOnly.TryParseExact(
        Text(), "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly day)
        ? day
        : throw Wrong("a day like \"2026-01-31\"");

    public T Word<T>()
        where T : struct, Enum
    {
        string text = Text();
        foreach (T value in Enum.GetValues<T>())
        {
            if (JsonWords.Of(value) == text)
                return value;
        }

        throw Wrong($"one of {string.Join(", ", Enum.GetValues<T>().Select(JsonWords.Of))}");
    }

    public StatedPressure Pressure()
    {
        JsonPlace value = Member("value");
        if (value.Element.ValueKind != JsonValueKind.Number || !value.Element.TryGetDecimal(out decimal number))
            throw value.Wrong("a decimal number");
        JsonPlace symbol = Member("unit");
        PressureUnit unit = PressureUnit.Find(symbol.Text())
            ?? throw symbol.Wrong($"one of {string.Join(", ", PressureUnit.All)}");
        return new StatedPressure(number, unit, Member("reference").Word<PressureReference>());
    }

    private string PathTo(string name) => Path.Length == 0 ? name : $"{Path}.{name}";

    private void Expect(JsonValueKind kind, string what)
    {
        if (Element.ValueKind != kind)
            throw Wrong(what);
    }

    private FormatException Wrong(string expected)
    {
        string found = Element.ValueKind == JsonValueKind.Undefined ? "nothing" : Element.GetRawText();
        if (found.Length > 40)
            found = $"{found[..40]}…";
        return new FormatException($"{(Path.Length == 0 ? "the document" : Path)} is {found}, but must be {expected}");
    }
}

/// <summary>The words that stand for the members of an enumeration in files: the member's name with a small first letter.</summary>
internal static class JsonWords
{
    public static string Of<T>(T value)
        where T : struct, Enum => JsonNamingPolicy.CamelCase.ConvertName(value.ToString());

    /// <summary>The single marks that are set, in order of their bits.</summary>
    public static IEnumerable<string> OfEach<T>(T value)
        where T : struct, Enum => Enum.GetValues<T>().Where(one => Convert.ToInt32(one) != 0 && value.HasFlag(one)).Select(Of);
}
