using System.Text.Json;
using Barostep.Procedures.Settling;

namespace Barostep.Records;

/// <summary>Why a point was read when it was, as JSON.</summary>
internal static class SettlingJson
{
    public static void Write(Utf8JsonWriter json, SettlingDecision? decision)
    {
        if (decision is null)
        {
            json.WriteNullValue();
            return;
        }

        json.WriteStartObject();
        Forecast(json, "atBeginning", decision.AtBeginning);
        Forecast(json, "overReading", decision.OverReading);
        json.WriteNumber("limitPascals", decision.LimitPascals);
        json.WriteNumber("coverageFactor", decision.CoverageFactor);
        json.WriteNumber("readingSeconds", decision.ReadingSeconds);
        json.WriteNumber("leastNoisePascals", decision.LeastNoisePascals);
        RecordJsonWriter.Array(json, "trail", decision.Trail, Pair);
        json.WriteEndObject();
    }

    public static SettlingDecision Read(JsonPlace json) => new(
        json.MemberIfAny("atBeginning") is { } beginning ? Forecast(beginning) : null,
        json.MemberIfAny("overReading") is { } over ? Forecast(over) : null,
        json.Member("limitPascals").Number(),
        json.Member("coverageFactor").Number(),
        json.Member("readingSeconds").Number(),
        json.Member("leastNoisePascals").Number(),
        [.. json.Member("trail").Items().Select(Pair)]);

    private static void Forecast(Utf8JsonWriter json, string name, SettlingForecast? forecast)
    {
        if (forecast is not { } told)
        {
            json.WriteNull(name);
            return;
        }

        json.WriteStartObject(name);
        json.WriteNumber("remainingPascals", told.RemainingPascals);
        json.WriteNumber("uncertaintyPascals", told.UncertaintyPascals);
        json.WriteNumber("noisePascals", told.NoisePascals);
        json.WriteNumber("pairs", told.Pairs);
        json.WriteEndObject();
    }

    private static SettlingForecast Forecast(JsonPlace json) => new(
        json.Member("remainingPascals").Number(),
        json.Member("uncertaintyPascals").Number(),
        json.Member("noisePascals").Number(),
        json.Member("pairs").Count());

    // Four values in a row: thousands of pairs are written, and their names are in the documentation.
    private static void Pair(Utf8JsonWriter json, TrailPair entry)
    {
        json.WriteStartArray();
        json.WriteStringValue(JsonWords.Of(entry.Moment));
        json.WriteNumberValue(entry.Pair.AtMicros);
        json.WriteNumberValue(entry.Pair.ReferencePascals);
        json.WriteNumberValue(entry.Pair.ErrorPascals);
        json.WriteEndArray();
    }

    private static TrailPair Pair(JsonPlace json)
    {
        JsonPlace[] values = [.. json.Items()];
        if (values.Length != 4)
            throw new FormatException($"{json.Path} has {values.Length} values; a pair has what it was read for, when, the reference and the error");
        return new TrailPair(values[0].Word<TrailMoment>(), new SettlingPair(values[1].Whole(), values[2].Number(), values[3].Number()));
    }
}
