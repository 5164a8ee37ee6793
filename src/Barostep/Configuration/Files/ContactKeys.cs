using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Safety;

namespace Barostep.Configuration.Files;

/// <summary>Reads what <c>[output]</c> says of a pressure switch's contact.</summary>
internal static class ContactKeys
{
    private const string Trip = "switches_at";
    private const string Reset = "resets_at";
    private const string Action = "contact";
    private const string How = "read";
    private const string Limit = "threshold";

    private static readonly Dictionary<string, bool> Actions = new(StringComparer.Ordinal) { ["closes"] = true, ["opens"] = false };

    private static readonly Dictionary<string, ContactReading> Readings = new(StringComparer.Ordinal)
    {
        ["resistance"] = ContactReading.Resistance,
        ["voltage"] = ContactReading.Voltage,
    };

    /// <summary>The contact; null for another kind of output, or where a value could not be read.</summary>
    public static SwitchContact? Read(TableReader output, DeviceOutput? kind)
    {
        if (kind != DeviceOutput.Contact)
        {
            foreach (string key in new[] { Trip, Reset, Action, How, Limit })
                Refuse(output, key, kind);
            return null;
        }

        StatedPressure? trip = output.Pressure(Trip, "3 bar gauge");
        StatedPressure? reset = output.Pressure(Reset, "2.6 bar gauge");
        bool? closes = output.Choice(Action, Actions);
        ContactReading? read = output.Choice(How, Readings);
        decimal? threshold = read == ContactReading.Voltage
            ? output.Quantity(Limit, QuantityKind.Voltage, "10 mV", "100 V")
            : output.Quantity(Limit, QuantityKind.Resistance, "1 ohm", "1000 kohm");
        return trip is { } up && reset is { } down && closes is { } closing && read is { } how && threshold is { } most
            ? new SwitchContact(up, down, closing, how, (double)most)
            : null;
    }

    /// <summary>Notes what contradicts the device's range.</summary>
    public static void Check(TableReader output, SwitchContact contact, StatedPressure? from, StatedPressure? to)
    {
        if (from is not { } low || to is not { } high)
            return;
        foreach ((string key, StatedPressure at) in new[] { (Trip, contact.SwitchesAt), (Reset, contact.ResetsAt) })
        {
            if (at.Unit != low.Unit || at.Reference != low.Reference)
                output.File.Report(output.At(key), $"output.{key} = {at} beside range_from = {low}", "a switch has one unit and one reference", $"write it like {low}");
            else if (at.Value < low.Value || at.Value > high.Value)
                output.File.ReportKeepingUsable(output.At(key), $"output.{key} = {at} is outside {low} to {high}", "a switch changes within its range", "correct the range or the pressure");
        }

        if (contact.SwitchesAt == contact.ResetsAt)
            output.File.Report(output.At(Reset), "output.resets_at equals output.switches_at", "a switch has a deadband: it goes back at another pressure", "take both from its data sheet");
    }

    private static void Refuse(TableReader output, string key, DeviceOutput? kind)
    {
        output.Allow(key);
        if (kind is { } other && output.Has(key))
            output.File.Report(output.At(key), $"output.{key} beside kind = \"{other.ToString().ToLowerInvariant()}\"", "it belongs to a pressure switch", "delete it, or write kind = \"contact\"");
    }
}
