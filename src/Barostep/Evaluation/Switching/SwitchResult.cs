using Barostep.Configuration;
using Barostep.Records;

namespace Barostep.Evaluation.Switching;

/// <summary>What the ramps tell of a pressure switch, Pa in the device's own reference.</summary>
/// <remarks>
/// Deadband: the distance between the trip point and the reset point of one cycle, as a positive value. Repeatability: the
/// largest less the smallest pressure at which it tripped, or reset, in the same direction (as ISA-51.1 has it for the
/// differences among readings of one input in one direction).
/// </remarks>
/// <param name="Trip">Mean pressure at which it tripped.</param>
/// <param name="Reset">Mean pressure at which it went back.</param>
/// <param name="Deadband">Mean distance of the two within a cycle; null without a whole cycle.</param>
/// <param name="LargestDeadband">The largest of them; null likewise.</param>
/// <param name="TripRepeatability">Null with fewer than two trips.</param>
/// <param name="ResetRepeatability">Null with fewer than two resets.</param>
/// <param name="Trips">How many were seen.</param>
/// <param name="Resets">How many were seen.</param>
public sealed record SwitchResult(
    double? Trip, double? Reset, double? Deadband, double? LargestDeadband, double? TripRepeatability, double? ResetRepeatability, int Trips, int Resets)
{
    /// <summary>From the changes of a run; null for a device that is no switch.</summary>
    public static SwitchResult? Of(DeviceDefinition device, IReadOnlyList<PointResult> points)
    {
        ArgumentNullException.ThrowIfNull(device);
        ArgumentNullException.ThrowIfNull(points);
        if (device.Contact is null)
            return null;
        (int Cycle, double Pascals)[] trips = Seen(tripping: true);
        (int Cycle, double Pascals)[] resets = Seen(tripping: false);
        double[] deadbands = [.. trips.Join(resets, trip => trip.Cycle, reset => reset.Cycle, (trip, reset) => Math.Abs(trip.Pascals - reset.Pascals))];
        return new SwitchResult(
            Mean(trips), Mean(resets),
            deadbands.Length == 0 ? null : Statistics.Mean(deadbands),
            deadbands.Length == 0 ? null : deadbands.Max(),
            Spread(trips), Spread(resets), trips.Length, resets.Length);

        (int, double)[] Seen(bool tripping) =>
        [
            .. points.Where(point => SwitchPoint.IsTrip(device, point.Direction) == tripping && point.Change is not null)
                .Select(point => (point.Cycle, point.Change!.Pascals)),
        ];
    }

    private static double? Mean((int, double Pascals)[] changes) => changes.Length == 0 ? null : Statistics.Mean([.. changes.Select(change => change.Pascals)]);

    private static double? Spread((int, double Pascals)[] changes) =>
        changes.Length < 2 ? null : changes.Max(change => change.Pascals) - changes.Min(change => change.Pascals);
}
