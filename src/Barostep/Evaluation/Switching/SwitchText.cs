using System.Globalization;
using Barostep.Configuration;

namespace Barostep.Evaluation.Switching;

/// <summary>The figures of a pressure switch in words, the same for table and certificate.</summary>
public static class SwitchText
{
    /// <summary>Name and text of each figure, in the order in which they are read; empty for a device that is no switch.</summary>
    public static IReadOnlyList<(string Name, string Text)> Of(RunResult result)
    {
        ArgumentNullException.ThrowIfNull(result);
        if (result.Switching is not { } switching || result.Record.Device.Contact is not { } contact)
            return [];
        DeviceDefinition device = result.Record.Device;
        double unit = device.Unit.PascalsAsDouble;
        int decimals = ResultFormat.DecimalsFor(device.ToleranceOfSpan * device.SpanPascals / unit);
        var lines = new List<(string, string)>();
        Place("Trip point", switching.Trip, contact.SwitchesAtPascals, switching.Trips);
        Place("Reset point", switching.Reset, contact.ResetsAtPascals, switching.Resets);
        if (switching is { Deadband: { } deadband, LargestDeadband: { } largest })
            lines.Add(("Deadband", Invariant($"{Shown(deadband)} {device.Unit}, largest of a cycle {Shown(largest)} {device.Unit} (trip to reset)")));
        Spread("Trip repeatability", switching.TripRepeatability);
        Spread("Reset repeatability", switching.ResetRepeatability);
        SwitchChange[] changes = [.. result.Points.Select(point => point.Change).OfType<SwitchChange>()];
        if (changes.Length > 0)
        {
            double rate = changes.Max(change => Math.Abs(change.RatePascalsPerSecond)) / unit;
            lines.Add(("Ramp", Invariant($"at most {rate:G3} {device.Unit}/s; half of the reading interval is worth {changes.Max(change => change.IntervalHalfWidth) / unit:G2} {device.Unit}, the reference's lag {changes.Max(change => Math.Abs(change.LagCorrection)) / unit:G2} {device.Unit}, corrected")));
        }

        return lines;

        void Place(string name, double? found, double nominal, int times)
        {
            if (found is { } at)
                lines.Add((name, Invariant($"{Shown(at)} {device.Unit}, mean of {times}; {ResultFormat.Signed((at - nominal) / unit, decimals)} {device.Unit} from {Shown(nominal)} {device.Unit}")));
        }

        void Spread(string name, double? pascals)
        {
            if (pascals is { } width)
                lines.Add((name, $"{Shown(width)} {device.Unit}, largest less smallest"));
        }

        string Shown(double pascals) => ResultFormat.Plain(pascals / unit, decimals);
    }

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
