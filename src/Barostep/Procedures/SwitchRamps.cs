using Barostep.Configuration;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <summary>The ramps over which pressure switches are tested, laid out before anything moves.</summary>
/// <remarks>
/// For each switch: to the side on which it is at rest, beyond its reset point by the margin; then slowly towards the trip
/// point until the contact changes, and slowly back until it changes again, as often as the procedure asks. A ramp that
/// has passed the margin behind the point without a change is given up (trade practice).
/// </remarks>
public static class SwitchRamps
{
    /// <summary>The steps for every switch among the devices, the leading device first; none without a switch test.</summary>
    public static IReadOnlyList<PlannedStep> For(Procedure procedure, IReadOnlyList<DeviceDefinition> devices, Pressure atmosphere)
    {
        ArgumentNullException.ThrowIfNull(procedure);
        ArgumentNullException.ThrowIfNull(devices);
        if (procedure.SwitchTest is not { } test)
            return [];
        double span = devices[0].SpanPascals;
        var steps = new List<PlannedStep>();
        for (int device = 0; device < devices.Count; device++)
        {
            if (devices[device] is { Output: DeviceOutput.Contact, Contact: { } contact } tested)
                AddRamps(steps, test, span, device, tested, contact, atmosphere);
        }

        return steps;
    }

    private static void AddRamps(
        List<PlannedStep> steps, SwitchTest test, double span, int device, DeviceDefinition tested, SwitchContact contact, Pressure atmosphere)
    {
        double margin = test.MarginOfSpan * span;
        double away = contact.TripsOnRise ? 1 : -1;
        Pressure rest = Absolute(contact.ResetsAtPascals - (away * margin));
        Pressure far = Absolute(contact.SwitchesAtPascals + (away * margin));
        SeriesDirection towards = contact.TripsOnRise ? SeriesDirection.Ascending : SeriesDirection.Descending;
        SeriesDirection back = contact.TripsOnRise ? SeriesDirection.Descending : SeriesDirection.Ascending;
        steps.Add(new PlannedStep(StepKind.Preload, rest, ByVent: rest == atmosphere, back));
        for (int cycle = 1; cycle <= test.Repeats; cycle++)
        {
            steps.Add(Ramp(far, towards, cycle));
            steps.Add(Ramp(rest, back, cycle));
        }

        PlannedStep Ramp(Pressure target, SeriesDirection direction, int cycle) => new(StepKind.Ramp, target, ByVent: false, direction, cycle)
        {
            Device = device,
            RatePascalsPerSecond = test.RateOfSpanPerSecond * span,
        };

        Pressure Absolute(double own) => tested.Reference == PressureReference.Gauge
            ? atmosphere + PressureDifference.FromPascals(own)
            : Pressure.FromPascals(Math.Max(own, 0));
    }
}
