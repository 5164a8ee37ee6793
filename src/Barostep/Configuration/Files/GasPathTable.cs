using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Safety;

namespace Barostep.Configuration.Files;

/// <summary>Reads the <c>[gas_path]</c> of a bench.</summary>
internal static class GasPathTable
{
    /// <summary>Gases that a bench may run on.</summary>
    public static readonly IReadOnlyList<string> Gases = ["nitrogen", "air", "argon", "helium", "carbon dioxide"];

    private static readonly IReadOnlyList<string> Dangerous =
    [
        "oxygen", "hydrogen", "methane", "natural gas", "propane", "butane", "acetylene", "ethylene", "carbon monoxide",
        "nitrous oxide", "chlorine", "ammonia", "fluorine", "town gas", "biogas",
    ];

    public static GasPath? Read(TableReader table)
    {
        string? gas = table.Text("gas", "nitrogen");
        StatedPressure? supply = table.Pressure("supply_max", "25 bar gauge");
        string reason = table.TextOr("supply_max_reason", string.Empty, "the regulator's relief valve is fully open there");
        decimal temperature = table.QuantityOr("supply_temperature", QuantityKind.Temperature, "200 K", "400 K", (decimal)GasPath.WarmestSupplyKelvin);
        decimal? least = table.Quantity("volume_min", QuantityKind.Volume, "0.1 mL", "1 m3");
        decimal? most = table.Quantity("volume_max", QuantityKind.Volume, "0.1 mL", "1 m3");
        decimal? trapped = table.Quantity("trapped_volume", QuantityKind.Volume, "0 mL", "1 m3");
        FlowPath? fill = table.Table("fill") is { } fillTable ? ReadPath(fillTable) : null;
        FlowPath? vent = table.Table("vent") is { } ventTable ? ReadPath(ventTable) : null;
        table.Close();
        CheckGas(table, gas);
        if (least > most)
        {
            table.File.ReportKeepingUsable(table.At("volume_min"), "gas_path.volume_min is above gas_path.volume_max",
                "the smallest volume is not larger than the largest", "exchange the two or correct one");
        }

        return gas is not null && supply is { } highest && least is { } small && most is { } large && trapped is { } caught
            && fill is not null && vent is not null
            ? new GasPath(gas, highest, (double)small, (double)large, fill, vent, (double)caught)
            {
                SupplyTemperatureKelvin = (double)temperature,
                SupplyMaximumReason = reason,
            }
            : null;
    }

    private static FlowPath? ReadPath(TableReader path)
    {
        decimal? conductance = path.Quantity("conductance", QuantityKind.Conductance, "0.0000001 dm3/(s.bar)", "100 dm3/(s.bar)");
        double? ratio = path.Ratio("critical_ratio", 0.0, 0.999);
        path.Close();
        return conductance is { } c && ratio is { } b ? new FlowPath((double)c, b) : null;
    }

    private static void CheckGas(TableReader table, string? gas)
    {
        if (gas is null || Gases.Contains(gas))
            return;
        if (Dangerous.Contains(gas.ToLowerInvariant()))
        {
            table.File.Report(table.At("gas"), $"gas = \"{gas}\"", "oxygen, flammable and poisonous gases are refused: neither this program nor its limits are made for them",
                "use nitrogen or dry air");
            return;
        }

        string? near = NearestName.Of(gas, Gases);
        table.File.Report(table.At("gas"), $"gas = \"{MessageText.OneLine(gas)}\"", $"the gas is one of {string.Join(", ", Gases)}, since it decides the fastest filling",
            near is null ? "write one of these" : $"did you mean \"{near}\"");
    }
}
