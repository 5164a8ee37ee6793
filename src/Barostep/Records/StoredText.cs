using System.Globalization;
using System.Text;
using System.Text.Json;

namespace Barostep.Records;

/// <summary>Values that stand as text in a column.</summary>
internal static class StoredText
{
    public static string Json(Action<Utf8JsonWriter> write)
    {
        using MemoryStream bytes = new();
        using (Utf8JsonWriter json = new(bytes))
            write(json);
        return Encoding.UTF8.GetString(bytes.ToArray());
    }

    public static T Parsed<T>(string text, Func<JsonPlace, T> read)
    {
        using JsonDocument document = JsonDocument.Parse(text);
        return read(new JsonPlace(document.RootElement, string.Empty));
    }

    public static T Word<T>(string word)
        where T : struct, Enum
    {
        foreach (T value in Enum.GetValues<T>())
        {
            if (JsonWords.Of(value) == word)
                return value;
        }

        throw new RunStoreException($"the run store holds the word \"{word}\" where one of {string.Join(", ", Enum.GetValues<T>().Select(JsonWords.Of))} must be");
    }

    public static DateTimeOffset Moment(string text) =>
        DateTimeOffset.Parse(text, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal);

    public static DateOnly Day(string text) => DateOnly.ParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture);
}
