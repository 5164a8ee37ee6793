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
        (IReadOnlyList<CorrectionPoint> corrections, IReadOnlyList<double> coefficients) = file.TableIfAny("correction") is { } table
            ? CorrectionTable.Read(table, kind, most)
            : ([], []);
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
            CorrectionCoefficients = coefficients,
        };
    }

    private static (QuantityKind Kind, string Zero, string Most) LimitsOf(StandardQuantity quantity) => quantity switch
    {
        StandardQuantity.Pressure => (QuantityKind.PressureDifference, "0 Pa", "1000 bar"),
        StandardQuantity.Current => (QuantityKind.Current, "0 mA", "1 A"),
        StandardQuantity.Voltage => (QuantityKind.Voltage, "0 V", "1000 V"),
        _ => throw new ArgumentOutOfRangeException(nameof(quantity), quantity, "unknown quantity"),
    };
}
