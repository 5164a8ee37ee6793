using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>standards/NAME.toml</c>.</summary>
internal static class StandardFile
{
    private static readonly Dictionary<string, StandardQuantity> Quantities = new(StringComparer.Ordinal)
    {
        ["pressure"] = StandardQuantity.Pressure,
        ["current"] = StandardQuantity.Current,
        ["voltage"] = StandardQuantity.Voltage,
    };

    /// <summary>The standard, or null where a value could not be read.</summary>
    public static ReferenceStandard? Read(string name, TableReader file)
    {
        string? title = file.Text("title", "Reference indicator, 16 bar");
        string? manufacturer = file.Text("manufacturer", "as on the label");
        string? model = file.Text("model", "as on the label");
        string? serialNumber = file.Text("serial_number", "12345");
        StandardQuantity? quantity = file.Choice("quantity", Quantities);
        string? certificate = file.Text("certificate", "C-2026-0117");
        string? calibratedBy = file.Text("calibrated_by", "the laboratory on its certificate");
        DateOnly? calibrated = file.Day("calibrated");
        DateOnly? due = file.Day("due");
        (QuantityKind kind, string zero, string most) = LimitsOf(quantity ?? StandardQuantity.Pressure);
        decimal? expanded = file.Quantity("expanded_uncertainty", kind, zero, most);
        decimal ofReading = file.QuantityOr("expanded_uncertainty_of_reading", QuantityKind.Share, "0 %", "10 %", 0m);
        double? factor = file.Ratio("coverage_factor", 1, 5);
        decimal drift = file.QuantityOr("drift_per_year", kind, zero, most, 0m);
        IReadOnlyList<CorrectionPoint> corrections = file.TableIfAny("correction") is { } table ? ReadCorrections(table, kind, most) : [];
        file.Close();
        if (due <= calibrated)
            file.File.Report(file.At("due"), "due is not after calibrated", "a standard is due after it was calibrated", "correct one of the two");
        if (expanded == 0m && ofReading == 0m)
            file.File.Report(file.At("expanded_uncertainty"), "expanded_uncertainty is 0", "no calibration is without uncertainty", "write what the certificate states");
        if (quantity is null || !file.File.IsUsable)
            return null;

        return new ReferenceStandard
        {
            Name = name,
            Title = title!,
            Manufacturer = manufacturer!,
            Model = model!,
            SerialNumber = serialNumber!,
            Quantity = quantity.Value,
            CertificateNumber = certificate!,
            CalibratedBy = calibratedBy!,
            CalibratedOn = calibrated!.Value,
            DueOn = due!.Value,
            ExpandedUncertainty = (double)expanded!.Value,
            ExpandedUncertaintyOfReading = (double)ofReading,
            CoverageFactor = factor!.Value,
            DriftPerYear = (double)drift,
            Corrections = corrections,
        };
    }

    private static (QuantityKind Kind, string Zero, string Most) LimitsOf(StandardQuantity quantity) => quantity switch
    {
        StandardQuantity.Pressure => (QuantityKind.PressureDifference, "0 Pa", "1000 bar"),
        StandardQuantity.Current => (QuantityKind.Current, "0 mA", "1 A"),
        StandardQuantity.Voltage => (QuantityKind.Voltage, "0 V", "1000 V"),
        _ => throw new ArgumentOutOfRangeException(nameof(quantity), quantity, "unknown quantity"),
    };

    private static IReadOnlyList<CorrectionPoint> ReadCorrections(TableReader table, QuantityKind kind, string most)
    {
        IReadOnlyList<decimal>? at = table.Quantities("at", kind, $"-{most}", most);
        IReadOnlyList<decimal>? add = table.Quantities("add", kind, $"-{most}", most);
        table.Close();
        if (at is null || add is null)
            return [];
        if (at.Count != add.Count)
        {
            table.File.Report(table.At("add"), $"correction.add has {add.Count} values and correction.at {at.Count}",
                "every indication has its correction", "write both lists with the same number of values, in the same order");
            return [];
        }

        for (int i = 1; i < at.Count; i++)
        {
            if (at[i] <= at[i - 1])
            {
                table.File.Report(table.File.Origins.Of(table.File.File, $"correction.at.{i}"), $"correction.at.{i} is not above the indication before it",
                    "the indications rise", "sort them, and their corrections with them");
            }
        }

        return [.. at.Zip(add, (indication, correction) => new CorrectionPoint((double)indication, (double)correction))];
    }
}
