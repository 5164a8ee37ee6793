using System.Text.Json;
using System.Text.Json.Serialization;

namespace Barostep.Safety;

/// <summary>The JSON of every payload but the tick: generated from the types, so that a new member cannot be forgotten.</summary>
[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    RespectRequiredConstructorParameters = true,
    UseStringEnumConverter = true,
    Converters = [typeof(PressureInMilliPascals), typeof(DifferenceInMilliPascals), typeof(CauseBits)])]
[JsonSerializable(typeof(OpenPayload))]
[JsonSerializable(typeof(LimitsPayload))]
[JsonSerializable(typeof(StatePayload))]
[JsonSerializable(typeof(RaisePayload))]
[JsonSerializable(typeof(TripPayload))]
[JsonSerializable(typeof(AcknowledgePayload))]
[JsonSerializable(typeof(CeilingPayload))]
[JsonSerializable(typeof(RunStartPayload))]
[JsonSerializable(typeof(RunEndPayload))]
[JsonSerializable(typeof(NotePayload))]
[JsonSerializable(typeof(GapPayload))]
[JsonSerializable(typeof(StopPayload))]
[JsonSerializable(typeof(RotatePayload))]
internal sealed partial class JournalJson : JsonSerializerContext
{
    public static void Write(Utf8JsonWriter writer, JournalPayload payload)
    {
        switch (payload)
        {
            case OpenPayload one: JsonSerializer.Serialize(writer, one, Default.OpenPayload); break;
            case LimitsPayload one: JsonSerializer.Serialize(writer, one, Default.LimitsPayload); break;
            case StatePayload one: JsonSerializer.Serialize(writer, one, Default.StatePayload); break;
            case RaisePayload one: JsonSerializer.Serialize(writer, one, Default.RaisePayload); break;
            case TripPayload one: JsonSerializer.Serialize(writer, one, Default.TripPayload); break;
            case AcknowledgePayload one: JsonSerializer.Serialize(writer, one, Default.AcknowledgePayload); break;
            case CeilingPayload one: JsonSerializer.Serialize(writer, one, Default.CeilingPayload); break;
            case RunStartPayload one: JsonSerializer.Serialize(writer, one, Default.RunStartPayload); break;
            case RunEndPayload one: JsonSerializer.Serialize(writer, one, Default.RunEndPayload); break;
            case NotePayload one: JsonSerializer.Serialize(writer, one, Default.NotePayload); break;
            case GapPayload one: JsonSerializer.Serialize(writer, one, Default.GapPayload); break;
            case StopPayload one: JsonSerializer.Serialize(writer, one, Default.StopPayload); break;
            case RotatePayload one: JsonSerializer.Serialize(writer, one, Default.RotatePayload); break;
            default: throw new ArgumentException($"{payload.GetType().Name} is no payload of a journal.", nameof(payload));
        }
    }

    /// <exception cref="JsonException">The payload is not one of its kind.</exception>
    public static JournalPayload Read(JournalKind kind, JsonElement payload)
    {
        JournalPayload? read = kind switch
        {
            JournalKind.Open => payload.Deserialize(Default.OpenPayload),
            JournalKind.Limits => payload.Deserialize(Default.LimitsPayload),
            JournalKind.State => payload.Deserialize(Default.StatePayload),
            JournalKind.Raise => payload.Deserialize(Default.RaisePayload),
            JournalKind.Trip => payload.Deserialize(Default.TripPayload),
            JournalKind.Acknowledge => payload.Deserialize(Default.AcknowledgePayload),
            JournalKind.Ceiling => payload.Deserialize(Default.CeilingPayload),
            JournalKind.RunStart => payload.Deserialize(Default.RunStartPayload),
            JournalKind.RunEnd => payload.Deserialize(Default.RunEndPayload),
            JournalKind.Note => payload.Deserialize(Default.NotePayload),
            JournalKind.Gap => payload.Deserialize(Default.GapPayload),
            JournalKind.Stop => payload.Deserialize(Default.StopPayload),
            JournalKind.Rotate => payload.Deserialize(Default.RotatePayload),
            JournalKind.Tick => throw new ArgumentException("A tick is read as an observation and a decision.", nameof(kind)),
            _ => throw new ArgumentException($"{kind} is no kind of entry.", nameof(kind)),
        };
        return read ?? throw new JsonException($"The payload of a {JournalWords.Of(kind)} entry is null.");
    }

    /// <summary>An absolute pressure as whole millipascals.</summary>
    private sealed class PressureInMilliPascals : JsonConverter<Pressure>
    {
        public override Pressure Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            Barostep.Safety.Pressure.FromMilliPascals(reader.GetInt64());

        public override void Write(Utf8JsonWriter writer, Pressure value, JsonSerializerOptions options) =>
            writer.WriteNumberValue(value.MilliPascals);
    }

    private sealed class DifferenceInMilliPascals : JsonConverter<PressureDifference>
    {
        public override PressureDifference Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            new(reader.GetInt64());

        public override void Write(Utf8JsonWriter writer, PressureDifference value, JsonSerializerOptions options) =>
            writer.WriteNumberValue(value.MilliPascals);
    }

    private sealed class CauseBits : JsonConverter<CauseSet>
    {
        public override CauseSet Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            new(reader.GetUInt64());

        public override void Write(Utf8JsonWriter writer, CauseSet value, JsonSerializerOptions options) =>
            writer.WriteNumberValue(value.Bits);
    }
}
