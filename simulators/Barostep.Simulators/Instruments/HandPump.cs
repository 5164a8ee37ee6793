using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// A hand pump: strokes through its check valve, a fine screw that makes the volume smaller, and a release valve.
/// </summary>
/// <remarks>
/// A stroke is a flow through the plant's fill valve from the highest pressure that the pump can make: what its dead volume
/// keeps back grows with the pressure likewise. The screw turns so slowly that the gas keeps the wall's temperature.
/// </remarks>
public sealed class HandPump(Plant plant, double screwM3)
{
    private readonly double _volumeM3 = plant.Volume.VolumeM3;
    private long _strokeEndsMicros;

    /// <summary>How far the screw is in, as a share of its travel.</summary>
    public double ScrewShare { get; private set; }

    /// <summary>Strokes so far, short ones included.</summary>
    public int Strokes { get; private set; }

    /// <summary>Begins a stroke of a length.</summary>
    public void Stroke(long lengthMicros, long nowMicros)
    {
        Strokes++;
        _strokeEndsMicros = nowMicros + lengthMicros;
        plant.Fill.Command(1, nowMicros);
    }

    /// <summary>Lets a stroke end when its time has come.</summary>
    public void Follow(long nowMicros)
    {
        if (nowMicros >= _strokeEndsMicros)
        {
            plant.Fill.Command(0, nowMicros);
        }
    }

    /// <summary>Turns the screw so that the pressure changes by so much, as far as its travel goes.</summary>
    /// <returns>Whether it went all the way.</returns>
    public bool Squeeze(double pascals)
    {
        double wanted = ScrewShare + (pascals * plant.Volume.VolumeM3 / plant.PressurePa / screwM3);
        ScrewShare = Math.Clamp(wanted, 0, 1);
        double volume = _volumeM3 - (ScrewShare * screwM3);
        plant.Squeeze(volume);
        return wanted == ScrewShare;
    }

    /// <summary>Opens the release valve by a share.</summary>
    public void Release(double opening, long nowMicros) => plant.Vent.Command(opening, nowMicros);
}
