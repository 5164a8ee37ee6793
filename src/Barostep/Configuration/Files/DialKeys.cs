using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads how the scale of a dial gauge is divided, from the <c>[output]</c> of a device.</summary>
internal static class DialKeys
{
    private static readonly Dictionary<string, int> Parts = new(StringComparer.Ordinal)
    {
        ["1"] = 1,
        ["1/2"] = 2,
        ["1/4"] = 4,
        ["1/5"] = 5,
        ["1/10"] = 10,
    };

    /// <summary>The scale; null for another output, or where it could not be read.</summary>
    public static DialScale? Read(TableReader file, TableReader output, DeviceOutput? kind)
    {
        if (kind != DeviceOutput.Dial)
        {
            Refuse(output, "division", kind);
            Refuse(output, "read_to", kind);
            return null;
        }

        decimal? division = output.Quantity("division", QuantityKind.PressureDifference, "0.001 Pa", "1000 bar");
        int? parts = output.Choice("read_to", Parts);
        if (file.Has("resolution"))
        {
            file.File.Report(file.At("resolution"), "resolution beside output.division",
                "a pointer is read to a part of a division, and a figure is written in one place", "delete it");
        }

        return division is { } width && parts is { } count ? new DialScale(width, count) : null;
    }

    private static void Refuse(TableReader output, string key, DeviceOutput? kind)
    {
        output.Allow(key);
        if (kind is not null && output.Has(key))
        {
            output.File.Report(output.At(key), $"output.{key} beside kind = \"{kind.ToString()!.ToLowerInvariant()}\"",
                "only a dial gauge has a scale that a person reads", "delete it, or write kind = \"dial\"");
        }
    }
}
