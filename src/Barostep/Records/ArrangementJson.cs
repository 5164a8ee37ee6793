using System.Text.Json;
using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Records;

/// <summary>How a run's instruments were connected, as JSON; what was not known is null.</summary>
internal static class ArrangementJson
{
    public static void Write(Utf8JsonWriter json, MeasuringArrangement arrangement)
    {
        json.WriteStartObject();
        json.WriteString("referenceTells", arrangement.ReferenceTells is { } tells ? JsonWords.Of(tells) : null);
        json.WriteNumber("referenceResolutionPascals", arrangement.ReferenceResolutionPascals);
        if (arrangement.ReferenceLagSeconds > 0)
            json.WriteNumber("referenceLagSeconds", arrangement.ReferenceLagSeconds);
        if (arrangement.SharedWith.Count > 0)
        {
            RecordJsonWriter.Array(json, "sharedWith", arrangement.SharedWith, (to, shared) =>
            {
                to.WriteStartObject();
                to.WriteString("device", shared.Device);
                to.WriteString("run", shared.Run);
                to.WriteEndObject();
            });
        }

        Part(json, "head", arrangement.Head, head =>
        {
            json.WriteString("gas", head.Gas);
            json.WriteNumber("referenceAboveDeviceMetres", head.ReferenceAboveDeviceMetres);
            json.WriteNumber("heightUncertaintyMetres", head.HeightUncertaintyMetres);
            json.WriteNumber("gravity", head.Gravity);
            json.WriteNumber("gravityUncertainty", head.GravityUncertainty);
            json.WriteString("gravitySource", head.GravitySource);
        });
        Part(json, "barometer", arrangement.Barometer, barometer =>
        {
            json.WriteString("identity", barometer.Identity);
            json.WriteNumber("standardUncertaintyPascals", barometer.StandardUncertaintyPascals);
            json.WriteNumber("aboveDeviceMetres", barometer.AboveDeviceMetres);
        });
        Part(json, "shunt", arrangement.Shunt, shunt =>
        {
            json.WriteString("identity", shunt.Identity);
            json.WriteNumber("ohmsAt20", shunt.OhmsAt20);
            json.WriteNumber("standardUncertaintyOhms", shunt.StandardUncertaintyOhms);
            json.WriteNumber("perKelvin", shunt.PerKelvin);
        });
        json.WriteEndObject();
    }

    public static MeasuringArrangement Read(JsonPlace json) => new()
    {
        ReferenceTells = json.MemberIfAny("referenceTells")?.Word<PressureReference>(),
        ReferenceResolutionPascals = json.Member("referenceResolutionPascals").Number(),
        ReferenceLagSeconds = json.MemberIfAny("referenceLagSeconds")?.Number() ?? 0,
        SharedWith = json.MemberIfAny("sharedWith") is { } runs
            ? [.. runs.Items().Select(shared => new SharedRun(shared.Member("device").Text(), shared.Member("run").Text()))]
            : [],
        Head = json.MemberIfAny("head") is { } head
            ? new HeadColumn(
                head.Member("gas").Text(), head.Member("referenceAboveDeviceMetres").Number(), head.Member("heightUncertaintyMetres").Number(),
                head.Member("gravity").Number(), head.Member("gravityUncertainty").Number(), head.Member("gravitySource").Text())
            : null,
        Barometer = json.MemberIfAny("barometer") is { } barometer
            ? new BenchBarometer(
                barometer.Member("identity").Text(), barometer.Member("standardUncertaintyPascals").Number(), barometer.Member("aboveDeviceMetres").Number())
            : null,
        Shunt = json.MemberIfAny("shunt") is { } shunt
            ? new BenchShunt(
                shunt.Member("identity").Text(), shunt.Member("ohmsAt20").Number(), shunt.Member("standardUncertaintyOhms").Number(), shunt.Member("perKelvin").Number())
            : null,
    };

    private static void Part<T>(Utf8JsonWriter json, string name, T? part, Action<T> write)
        where T : class
    {
        if (part is null)
        {
            json.WriteNull(name);
            return;
        }

        json.WriteStartObject(name);
        write(part);
        json.WriteEndObject();
    }
}
