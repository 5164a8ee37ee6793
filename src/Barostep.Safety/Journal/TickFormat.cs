using System.Text.Json;

namespace Barostep.Safety;

/// <summary>One cycle as JSON under short keys. A member whose value is 0 is left out, and reads back as 0.</summary>
/// <remarks>The time and wall time of an observation are those of its entry. The keys are listed in docs/journal-format.md.</remarks>
internal static class TickFormat
{
    public static void Write(Utf8JsonWriter writer, in Observation seen, in RecordedDecision decision)
    {
        writer.WriteStartObject();
        Put(writer, "n"u8, seen.Tick);
        Write(writer, "r"u8, seen.Reference);
        Write(writer, "s"u8, seen.SourceSensor);
        Write(writer, seen.Source);
        Write(writer, seen.Relay);
        Write(writer, seen.Host);
        Write(writer, seen.Person);
        Write(writer, seen.Intent);
        Write(writer, decision);
        writer.WriteEndObject();
    }

    public static Observation ReadObservation(JournalStamp stamp, JsonElement tick) => new()
    {
        Tick = Long(tick, "n"),
        NowMicros = stamp.NowMicros,
        WallMillis = stamp.WallMillis,
        Reference = ReadSensor(tick.GetProperty("r")),
        SourceSensor = ReadSensor(tick.GetProperty("s")),
        Source = ReadSource(tick.GetProperty("c")),
        Relay = ReadRelay(tick.GetProperty("y")),
        Host = ReadHost(tick.GetProperty("h")),
        Person = ReadPerson(tick.GetProperty("p")),
        Intent = ReadIntent(tick.GetProperty("i")),
    };

    public static RecordedDecision ReadDecision(JsonElement tick)
    {
        JsonElement decision = tick.GetProperty("d");
        long flags = Long(decision, "f");
        return new RecordedDecision(
            Long(decision, "n"),
            (Verdict)Long(decision, "v"),
            new CauseSet(Unsigned(decision, "c")),
            new CauseSet(Unsigned(decision, "l")),
            (Cause)Long(decision, "fc"),
            (uint)Long(decision, "t"),
            (SafetyAction)Long(decision, "a"),
            Absolute(decision, "sp"),
            Long(decision, "r"),
            Long(decision, "u"),
            Has(flags, 0),
            Has(flags, 1),
            Has(flags, 2),
            (GuardPhase)Long(decision, "ph"),
            Absolute(decision, "ce"),
            Absolute(decision, "fl"));
    }

    private static void Write(Utf8JsonWriter writer, ReadOnlySpan<byte> key, in SensorReading sensor)
    {
        writer.WriteStartObject(key);
        Put(writer, "q"u8, (long)sensor.Quality);
        Put(writer, "v"u8, sensor.Value.MilliPascals);
        Put(writer, "a"u8, sensor.AskedAtMicros);
        Put(writer, "b"u8, sensor.AnsweredAtMicros);
        Put(writer, "h"u8, sensor.RawHash);
        Put(writer, "n"u8, sensor.Count);
        writer.WriteEndObject();
    }

    private static SensorReading ReadSensor(JsonElement sensor) => new(
        (ReadingQuality)Long(sensor, "q"), Absolute(sensor, "v"), Long(sensor, "a"), Long(sensor, "b"), Unsigned(sensor, "h"), Long(sensor, "n"));

    private static void Write(Utf8JsonWriter writer, in SourceReport source)
    {
        writer.WriteStartObject("c"u8);
        Put(writer, "f"u8,
            Flag(source.LineUp, 0) | Flag(source.SetPointKnown, 1) | Flag(source.UpperLimitKnown, 2)
            | Flag(source.RestartSeen, 3) | Flag(source.UnitChanged, 4) | Flag(source.IdentityChanged, 5));
        Put(writer, "m"u8, (long)source.Mode);
        Put(writer, "ma"u8, source.ModeAskedAtMicros);
        Put(writer, "sp"u8, source.SetPoint.MilliPascals);
        Put(writer, "sa"u8, source.SetPointAskedAtMicros);
        Put(writer, "ul"u8, source.UpperLimit.MilliPascals);
        Put(writer, "p"u8, (long)source.Pending);
        Put(writer, "pa"u8, source.PendingSinceMicros);
        writer.WriteEndObject();
    }

    private static SourceReport ReadSource(JsonElement source)
    {
        long flags = Long(source, "f");
        return new SourceReport
        {
            LineUp = Has(flags, 0),
            SetPointKnown = Has(flags, 1),
            UpperLimitKnown = Has(flags, 2),
            RestartSeen = Has(flags, 3),
            UnitChanged = Has(flags, 4),
            IdentityChanged = Has(flags, 5),
            Mode = (SourceMode)Long(source, "m"),
            ModeAskedAtMicros = Long(source, "ma"),
            SetPoint = Absolute(source, "sp"),
            SetPointAskedAtMicros = Long(source, "sa"),
            UpperLimit = Absolute(source, "ul"),
            Pending = (SafetyAction)Long(source, "p"),
            PendingSinceMicros = Long(source, "pa"),
        };
    }

    private static void Write(Utf8JsonWriter writer, in RelayReport relay)
    {
        writer.WriteStartObject("y"u8);
        Put(writer, "f"u8,
            Flag(relay.Fitted, 0) | Flag(relay.FeedbackKnown, 1) | Flag(relay.DumpShut, 2) | Flag(relay.StopInputOpen, 3));
        writer.WriteEndObject();
    }

    private static RelayReport ReadRelay(JsonElement relay)
    {
        long flags = Long(relay, "f");
        return new RelayReport
        {
            Fitted = Has(flags, 0),
            FeedbackKnown = Has(flags, 1),
            DumpShut = Has(flags, 2),
            StopInputOpen = Has(flags, 3),
        };
    }

    private static void Write(Utf8JsonWriter writer, in HostReport host)
    {
        writer.WriteStartObject("h"u8);
        Put(writer, "f"u8, Flag(host.JournalFailed, 0) | Flag(host.DiskLow, 1) | Flag(host.UncleanStart, 2));
        Put(writer, "s"u8, host.SuspendedMicros);
        writer.WriteEndObject();
    }

    private static HostReport ReadHost(JsonElement host)
    {
        long flags = Long(host, "f");
        return new HostReport
        {
            JournalFailed = Has(flags, 0),
            DiskLow = Has(flags, 1),
            UncleanStart = Has(flags, 2),
            SuspendedMicros = Long(host, "s"),
        };
    }

    private static void Write(Utf8JsonWriter writer, in PersonRequest person)
    {
        writer.WriteStartObject("p"u8);
        Put(writer, "k"u8, (long)person.Kind);
        Put(writer, "t"u8, person.TripNumber);
        Put(writer, "c"u8, person.Ceiling.MilliPascals);
        Put(writer, "w"u8, person.PersonNumber);
        Put(writer, "r"u8, (long)person.Role);
        writer.WriteEndObject();
    }

    private static PersonRequest ReadPerson(JsonElement person) => new(
        (PersonRequestKind)Long(person, "k"), (uint)Long(person, "t"), Absolute(person, "c"), (uint)Long(person, "w"), (PersonRole)Long(person, "r"));

    private static void Write(Utf8JsonWriter writer, in Intent intent)
    {
        writer.WriteStartObject("i"u8);
        Put(writer, "e"u8, intent.Epoch);
        Put(writer, "s"u8, intent.Sequence);
        Put(writer, "k"u8, (long)intent.Kind);
        Put(writer, "t"u8, intent.Target.MilliPascals);
        Put(writer, "r"u8, intent.RateMilliPascalsPerSecond);
        Put(writer, "a"u8, intent.IssuedMicros);
        writer.WriteEndObject();
    }

    private static Intent ReadIntent(JsonElement intent) => new(
        (uint)Long(intent, "e"), (uint)Long(intent, "s"), (IntentKind)Long(intent, "k"), Absolute(intent, "t"), Long(intent, "r"), Long(intent, "a"));

    private static void Write(Utf8JsonWriter writer, in RecordedDecision decision)
    {
        writer.WriteStartObject("d"u8);
        Put(writer, "n"u8, decision.Tick);
        Put(writer, "v"u8, (long)decision.Verdict);
        Put(writer, "c"u8, decision.Causes.Bits);
        Put(writer, "l"u8, decision.Latched.Bits);
        Put(writer, "fc"u8, (long)decision.FirstCause);
        Put(writer, "t"u8, decision.TripNumber);
        Put(writer, "a"u8, (long)decision.Action);
        Put(writer, "sp"u8, decision.SetPoint.MilliPascals);
        Put(writer, "r"u8, decision.RateMilliPascalsPerSecond);
        Put(writer, "u"u8, decision.LeaseUntilMicros);
        Put(writer, "f"u8, Flag(decision.KeepAlive, 0) | Flag(decision.SamplesVoid, 1) | Flag(decision.Safe, 2));
        Put(writer, "ph"u8, (long)decision.Phase);
        Put(writer, "ce"u8, decision.EffectiveCeiling.MilliPascals);
        Put(writer, "fl"u8, decision.EffectiveFloor.MilliPascals);
        writer.WriteEndObject();
    }

    private static void Put(Utf8JsonWriter writer, ReadOnlySpan<byte> key, long value)
    {
        if (value != 0)
            writer.WriteNumber(key, value);
    }

    private static void Put(Utf8JsonWriter writer, ReadOnlySpan<byte> key, ulong value)
    {
        if (value != 0)
            writer.WriteNumber(key, value);
    }

    private static long Flag(bool value, int bit) => value ? 1L << bit : 0;

    private static bool Has(long flags, int bit) => (flags & (1L << bit)) != 0;

    private static long Long(JsonElement from, string key) => from.TryGetProperty(key, out JsonElement value) ? value.GetInt64() : 0;

    private static ulong Unsigned(JsonElement from, string key) => from.TryGetProperty(key, out JsonElement value) ? value.GetUInt64() : 0;

    private static Pressure Absolute(JsonElement from, string key) => Pressure.FromMilliPascals(Long(from, key));
}
