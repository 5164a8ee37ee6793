using System.Collections.Immutable;

namespace Barostep.Procedures.Settling;

/// <summary>
/// How far elements of different slowness are behind a measured pressure: one value for each time constant of a ladder,
/// x' = p' − x/τ, so that a step of the pressure shows in full and fades with τ.
/// </summary>
/// <remarks>
/// Any linear lag or after-effect of a device is a weighted sum of these, whatever way the pressure took: a ramp, a landing, a trim.
/// </remarks>
public sealed class Relaxations
{
    private readonly long _atMicros;

    private Relaxations(ImmutableArray<double> behind, long atMicros, double pascals)
    {
        Behind = behind;
        _atMicros = atMicros;
        Pascals = pascals;
    }

    /// <summary>Time constants, s: a factor of the square root of two apart, from shorter than a reading to longer than a point.</summary>
    public static ImmutableArray<double> TimeConstants { get; } = [.. Enumerable.Range(0, 21).Select(k => 0.1 * Math.Pow(2, 0.5 * k))];

    /// <summary>By how much each is behind, Pa.</summary>
    public ImmutableArray<double> Behind { get; }

    /// <summary>The newest reading, Pa.</summary>
    public double Pascals { get; }

    /// <summary>Everything at rest at a pressure.</summary>
    public static Relaxations AtRest(long atMicros, double pascals) => new([.. new double[TimeConstants.Length]], atMicros, pascals);

    /// <summary>What they are at a later moment if the pressure stays.</summary>
    public ImmutableArray<double> At(long atMicros)
    {
        double seconds = Math.Max(0, atMicros - _atMicros) * 1e-6;
        var later = ImmutableArray.CreateBuilder<double>(Behind.Length);
        for (int k = 0; k < Behind.Length; k++)
            later.Add(Behind[k] * Math.Exp(-seconds / TimeConstants[k]));
        return later.MoveToImmutable();
    }

    /// <summary>After the pressure went to a new reading, in a straight line.</summary>
    public Relaxations Follow(long atMicros, double pascals)
    {
        double seconds = (atMicros - _atMicros) * 1e-6;
        if (seconds <= 0)
            return this;
        double rate = (pascals - Pascals) / seconds;
        var behind = ImmutableArray.CreateBuilder<double>(Behind.Length);
        for (int k = 0; k < Behind.Length; k++)
        {
            double tau = TimeConstants[k];
            double fade = Math.Exp(-seconds / tau);
            behind.Add((Behind[k] * fade) + (rate * tau * (1 - fade)));
        }

        return new Relaxations(behind.MoveToImmutable(), atMicros, pascals);
    }
}
