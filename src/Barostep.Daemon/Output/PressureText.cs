using System.Globalization;
using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Daemon.Output;

/// <summary>Writes pressures the way the device's scale does.</summary>
internal sealed class PressureText(DeviceDefinition device, Pressure atmosphere)
{
    /// <summary>Decimals that show a tenth of the tolerance.</summary>
    private readonly int _decimals = Math.Clamp(
        1 - (int)Math.Floor(Math.Log10(device.ToleranceOfSpan * device.SpanPascals / device.Unit.PascalsAsDouble)), 0, 6);

    public string Unit { get; } = $"{device.Unit} {(device.Reference == PressureReference.Gauge ? "gauge" : "absolute")}";

    public string Number(Pressure pressure) =>
        pressure.In(device.Unit, device.Reference, atmosphere).ToString($"F{_decimals}", CultureInfo.InvariantCulture);

    public string Full(Pressure pressure) => $"{Number(pressure)} {Unit}";
}
