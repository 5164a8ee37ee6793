using System.Text.Json;
using Barostep.Procedures.Prompts;

namespace Barostep.Records;

/// <summary>What people answered, as JSON.</summary>
internal static class AnswerJson
{
    public static void Write(Utf8JsonWriter json, AnswerRecord answer)
    {
        json.WriteStartObject();
        json.WriteNumber("prompt", answer.Prompt);
        json.WriteString("kind", JsonWords.Of(answer.Kind));
        json.WriteNumber("point", answer.Point);
        json.WriteString("asked", answer.Asked);
        json.WriteNumber("askedMicros", answer.AskedMicros);
        json.WriteString("answer", answer.Answer);
        json.WriteString("who", answer.Who);
        json.WriteNumber("answeredMicros", answer.AnsweredMicros);
        RecordJsonWriter.Number(json, "referencePascals", answer.ReferencePascals);
        RecordJsonWriter.Number(json, "indicationPascals", answer.IndicationPascals);
        json.WriteEndObject();
    }

    public static AnswerRecord Read(JsonPlace json) => new(
        json.Member("prompt").Count(),
        json.Member("kind").Word<PromptKind>(),
        json.Member("point").Count(),
        json.Member("asked").Text(),
        json.Member("askedMicros").Whole(),
        json.Member("answer").Text(),
        json.Member("who").Text(),
        json.Member("answeredMicros").Whole())
    {
        ReferencePascals = json.MemberIfAny("referencePascals")?.Number(),
        IndicationPascals = json.MemberIfAny("indicationPascals")?.Number(),
    };
}
