using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <summary>A procedure that was laid out for one device, as another device on the same manifold sees it.</summary>
/// <remarks>
/// The pressures are the same; only their shares of span differ, and points outside the other device's range are none of
/// its points. Its record is then complete by itself: nothing in it needs the leading device.
/// </remarks>
public static class SharedSeries
{
    /// <summary>Rounding that converting a range to and fro leaves, as a share of span.</summary>
    private const double Rounding = 1e-9;

    /// <summary>The procedure in shares of the other device's span.</summary>
    public static Procedure Seen(Procedure procedure, DeviceDefinition leading, DeviceDefinition device, Pressure atmosphere)
    {
        ArgumentNullException.ThrowIfNull(procedure);
        ArgumentNullException.ThrowIfNull(leading);
        ArgumentNullException.ThrowIfNull(device);
        double scale = leading.SpanPascals / device.SpanPascals;
        return procedure with
        {
            PointsOfSpan = Shares(procedure.PointsOfSpan),
            RepeatPointsOfSpan = Shares(procedure.RepeatPointsOfSpan),
            RateOfSpanPerSecond = procedure.RateOfSpanPerSecond * scale,
            OvershootOfSpan = procedure.OvershootOfSpan * scale,
            LeakTest = procedure.LeakTest is { } leak
                ? leak with { PressureOfSpan = Share(leak.PressureOfSpan), LimitOfSpanPerMinute = leak.LimitOfSpanPerMinute * scale }
                : null,
            SwitchTest = procedure.SwitchTest is { } test
                ? test with { RateOfSpanPerSecond = test.RateOfSpanPerSecond * scale, MarginOfSpan = test.MarginOfSpan * scale }
                : null,
            Settle = procedure.Settle with
            {
                BandOfSpan = procedure.Settle.BandOfSpan * scale,
                SlopeOfSpanPerSecond = procedure.Settle.SlopeOfSpanPerSecond * scale,
            },
        };

        IReadOnlyList<double> Shares(IReadOnlyList<double> points) => [.. points.Select(Share).Where(IsInRange)];

        double Share(double ofLeading) => ShareOf(device, atmosphere, RunPlan.TargetOf(leading, atmosphere, ofLeading));
    }

    /// <summary>Whether a pressure is a point of a device's series: within its range, and the device no switch.</summary>
    public static bool IsPointOf(DeviceDefinition device, Pressure atmosphere, Pressure target)
    {
        ArgumentNullException.ThrowIfNull(device);
        return device.Output != DeviceOutput.Contact && IsInRange(ShareOf(device, atmosphere, target));
    }

    private static bool IsInRange(double share) => share is >= -Rounding and <= 1 + Rounding;

    private static double ShareOf(DeviceDefinition device, Pressure atmosphere, Pressure target)
    {
        double own = device.Reference == PressureReference.Gauge ? (target - atmosphere).Pascals : target.Pascals;
        return (own - device.FromPascals) / device.SpanPascals;
    }
}
