using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads the <c>[source]</c> of a bench whose pressure a person makes.</summary>
internal static class PersonTable
{
    private static readonly Dictionary<string, bool> Kinds = new(StringComparer.Ordinal)
    {
        ["instrument"] = false,
        ["person"] = true,
    };

    /// <summary>The person; null where an instrument makes the pressure, whose keys are then still to be read.</summary>
    public static PersonAtPump? Read(TableReader source)
    {
        bool isPerson = source.ChoiceIfAny("kind", Kinds) ?? false;
        if (!isPerson)
        {
            source.Allow("vents_within");
            if (source.Has("vents_within"))
            {
                source.File.Report(source.At("vents_within"), "source.vents_within beside an instrument",
                    "only a person needs time to vent", "delete it, or write kind = \"person\"");
            }

            return null;
        }

        decimal within = source.QuantityOr("vents_within", QuantityKind.Time, "1 s", "5 min", PersonAtPump.UsualVentMicros);
        foreach (string key in new[] { "instrument", "port", "baud", "serial_number", "standard_uncertainty", "resolution", "standard", "address" })
        {
            source.Allow(key);
            if (source.Has(key))
            {
                source.File.Report(source.At(key), $"source.{key} beside source.kind = \"person\"",
                    "a person has no line", "delete it; what tells the pressure is the [reference]");
            }
        }

        source.Close();
        return new PersonAtPump((long)within);
    }
}
