using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>What the multimeter reads of a contact.</summary>
public enum ContactReading
{
    /// <summary>Its resistance, ohm: below the threshold it is closed.</summary>
    Resistance,

    /// <summary>The voltage that it switches to a load, V: above the threshold it is closed.</summary>
    Voltage,
}

/// <summary>The contact of a pressure switch.</summary>
/// <param name="SwitchesAt">Pressure at which it trips; unit and reference of the device's range.</param>
/// <param name="ResetsAt">Pressure at which it goes back. Below <paramref name="SwitchesAt"/> it trips on a rise, above it on a fall.</param>
/// <param name="ClosesWhenTripped">False where it opens instead.</param>
/// <param name="Reading">How the contact is told.</param>
/// <param name="Threshold">Ohm or V.</param>
public sealed record SwitchContact(
    StatedPressure SwitchesAt, StatedPressure ResetsAt, bool ClosesWhenTripped, ContactReading Reading, double Threshold)
{
    /// <summary>Whether it trips while the pressure rises.</summary>
    public bool TripsOnRise => SwitchesAtPascals > ResetsAtPascals;

    /// <summary>In the device's own reference.</summary>
    public double SwitchesAtPascals => (double)(SwitchesAt.Value * SwitchesAt.Unit.Pascals);

    /// <summary>In the device's own reference.</summary>
    public double ResetsAtPascals => (double)(ResetsAt.Value * ResetsAt.Unit.Pascals);

    /// <summary>What a reading of the contact says.</summary>
    /// <param name="value">Ohm or V.</param>
    public bool IsTripped(double value) =>
        (Reading == ContactReading.Resistance ? value < Threshold : value > Threshold) == ClosesWhenTripped;
}
