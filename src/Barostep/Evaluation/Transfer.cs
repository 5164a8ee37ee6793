using Barostep.Configuration;
using Barostep.Evaluation.Devices;

namespace Barostep.Evaluation;

/// <summary>From the device's output to the pressure that it tells, by the ideal transfer function.</summary>
/// <remarks>
/// p = p0 + f((output − output0) / (output1 − output0)) × (p1 − p0), with f(x) = x for a linear device; so for a 4–20 mA
/// loop (IEC 60381-1) p = p0 + (I − 4 mA) / 16 mA × span. <see cref="SignalTransfer"/> has the other f.
/// </remarks>
public static class Transfer
{
    private const double LoopFrom = 0.004;
    private const double LoopTo = 0.020;

    /// <summary>The indication in Pa, in the device's own reference.</summary>
    /// <param name="output">A, V, or Pa for a digital device.</param>
    public static double ToPascals(DeviceDefinition device, double output) => device.TellsPressure
        ? output
        : device.FromPascals + (device.Transfer.PressureShare(ShareOf(device, output)) * device.SpanPascals);

    /// <summary>By how many Pa the indication rises with each A or V of the output, at an output; 1 for a digital device.</summary>
    public static double PascalsPerUnit(DeviceDefinition device, double output) => device.TellsPressure
        ? 1
        : device.Transfer.Slope(ShareOf(device, output)) * device.SpanPascals / (device.OutputTo - device.OutputFrom);

    /// <summary>What the output says by NAMUR NE 43; only a 4–20 mA loop can say anything but measuring.</summary>
    public static LoopSignal Signal(DeviceDefinition device, double output)
    {
        if (!IsLoop(device))
            return LoopSignal.Measuring;
        return LoopLevels.Of(output * 1000);
    }

    private static double ShareOf(DeviceDefinition device, double output) =>
        (output - device.OutputFrom) / (device.OutputTo - device.OutputFrom);

    private static bool IsLoop(DeviceDefinition device) =>
        device.Output == DeviceOutput.Current
        && Math.Abs(device.OutputFrom - LoopFrom) < 1e-9
        && Math.Abs(device.OutputTo - LoopTo) < 1e-9;
}
