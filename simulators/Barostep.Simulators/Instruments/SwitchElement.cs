namespace Barostep.Simulators.Instruments;

/// <summary>
/// A pressure switch under test: a contact that closes at one pressure and opens again at another, with the scatter of its
/// snap from one change to the next.
/// </summary>
public sealed class SwitchElement(SwitchDescription description, Pcg32 random)
{
    private const double ClosedOhm = 0.2;
    private const double OpenOhm = 9.9e8;

    private double _offsetPa = description.ScatterPa * random.NextNormal();

    public bool Closed { get; private set; }

    /// <summary>Resistance across the contact, ohm.</summary>
    public double Ohms => Closed ? ClosedOhm : OpenOhm;

    public void Follow(double gaugePa)
    {
        bool rising = description.TripPa > description.ResetPa;
        double atPa = (Closed ? description.ResetPa : description.TripPa) + _offsetPa;
        // It closes in the direction of its trip point and opens in the other.
        bool changes = rising == Closed ? gaugePa <= atPa : gaugePa >= atPa;
        if (!changes)
        {
            return;
        }

        Closed = !Closed;
        _offsetPa = description.ScatterPa * random.NextNormal();
    }
}
