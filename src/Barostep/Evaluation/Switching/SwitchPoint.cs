using Barostep.Configuration;
using Barostep.Evaluation.Corrections;
using Barostep.Records;

namespace Barostep.Evaluation.Switching;

/// <summary>One change of a pressure switch as a point: where it changed, beside where it is to.</summary>
/// <remarks>
/// At its change a switch says that the pressure is the one it is set to. So its set point is the indication, the pressure
/// at the change the reference value, and the error of indication is set point less pressure: a switch that trips late on a
/// rise errs to the negative side.
/// </remarks>
internal static class SwitchPoint
{
    public static PointResult Of(RunRecord record, RunCorrections corrections, PointRecord point)
    {
        DeviceDefinition device = record.Device;
        SwitchContact contact = device.Contact!;
        bool tripping = IsTrip(device, point.Direction);
        SwitchChange? change = SwitchChange.Of(contact, point.Samples, tripping, corrections, record.Arrangement.ReferenceLagSeconds);
        double limit = device.LimitOfSpanAt((point.NominalPascals - device.FromPascals) / device.SpanPascals);
        bool silent = change is null && !point.Samples.Any(sample => sample.Void);
        return new PointResult(
            point.Index, point.Cycle, point.Direction, point.NominalPascals, change is null ? null : ValuesOf(device, point, change),
            null, LoopSignal.Measuring, Conformity.NotDecided, point.Marks)
        {
            LimitOfSpan = limit,
            Change = change,
            DidNotSwitch = silent,
        };
    }

    /// <summary>Whether a ramp in a direction goes towards the trip point.</summary>
    public static bool IsTrip(DeviceDefinition device, SeriesDirection direction) =>
        (direction == SeriesDirection.Ascending) == device.Contact!.TripsOnRise;

    private static PointValues ValuesOf(DeviceDefinition device, PointRecord point, SwitchChange change)
    {
        double error = point.NominalPascals - change.Pascals;
        return new PointValues(
            change.Readings, change.Pascals, point.NominalPascals, null, error, error / device.SpanPascals,
            change.DeviationPascals, null, change.DeviationPascals);
    }
}
