using System.Globalization;
using Barostep.Configuration;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Evaluation.Corrections;

/// <summary>The corrections of a run in words, with their size over the device's range.</summary>
internal static class CorrectionText
{
    public static IReadOnlyList<AppliedCorrection> Of(RunRecord record, RunCorrections run, ReferenceStandard? reference, ReferenceStandard? meter)
    {
        List<AppliedCorrection> applied = [];
        DeviceDefinition device = record.Device;
        (double from, double to) = (device.FromPascals, device.FromPascals + device.SpanPascals);
        string unit = device.Unit.Symbol;
        double scale = device.Unit.PascalsAsDouble;
        if (reference is not null)
        {
            (double low, double high) = (reference.Correction.At(run.Indication(from)), reference.Correction.At(run.Indication(to)));
            applied.Add(new("Reference", Range(low / scale, high / scale, unit, $"by certificate {reference.CertificateNumber}, {Form(reference)}")));
        }

        if (record.Arrangement.Head is { } head)
        {
            (double low, double high) = (run.Head(run.Indication(from)), run.Head(run.Indication(to)));
            string where = Invariant($"reference {Math.Abs(head.ReferenceAboveDeviceMetres):0.###} m {(head.ReferenceAboveDeviceMetres < 0 ? "below" : "above")} the device, {head.Gas}, g = {head.Gravity:0.#####} m/s² ({head.GravitySource})");
            applied.Add(new("Head", Range(low / scale, high / scale, unit, where)));
        }

        if (run.UsesAtmosphere)
        {
            string told = run.BarometerWasRead ? record.Arrangement.Barometer?.Identity ?? "barometer as read" : "as the bench's file states it";
            applied.Add(new("Atmosphere", Invariant($"{run.Atmosphere / 100:0.00} hPa at the device, {told}, between gauge and absolute")));
        }

        if (meter is not null)
        {
            (double low, double high) = (meter.Correction.At(run.Volts(device.OutputFrom)), meter.Correction.At(run.Volts(device.OutputTo)));
            bool isCurrent = meter.Quantity == StandardQuantity.Current;
            applied.Add(new("Multimeter", Range(low * 1000, high * 1000, isCurrent ? "mA" : "mV", $"by certificate {meter.CertificateNumber}, {Form(meter)}")));
        }

        if (device.Output == DeviceOutput.Current && record.Arrangement.Shunt is { } shunt)
            applied.Add(new("Shunt", Invariant($"{shunt.OhmsAt20:0.####} ohm at 20 °C, {shunt.PerKelvin * 1e6:0.##} ppm/K, at {run.Celsius:0.#} °C; {shunt.Identity}")));
        return applied;
    }

    private static string Form(ReferenceStandard standard) => standard.Corrections.Count > 0
        ? Invariant($"table of {standard.Corrections.Count} points")
        : Invariant($"polynomial of degree {standard.CorrectionCoefficients.Count - 1}");

    private static string Range(double low, double high, string unit, string by) => Invariant($"{low:+0.######;-0.######;0} {unit} at the lower to {high:+0.######;-0.######;0} {unit} at the upper range end, {by}");

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
