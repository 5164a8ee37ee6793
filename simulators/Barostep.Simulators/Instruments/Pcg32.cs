namespace Barostep.Simulators.Instruments;

/// <summary>
/// Permuted congruential generator (O'Neill, PCG-XSH-RR 64/32). Own code, so that a seed brings the same bench on
/// every runtime and machine.
/// </summary>
public sealed class Pcg32
{
    private const ulong Multiplier = 6364136223846793005;

    private readonly ulong _increment;
    private ulong _state;

    /// <param name="seed">The bench's seed.</param>
    /// <param name="stream">One stream for each actor, so that one actor's draws do not move another's.</param>
    public Pcg32(ulong seed, ulong stream)
    {
        _increment = (stream << 1) | 1;
        Next();
        _state += seed;
        Next();
    }

    public uint Next()
    {
        ulong old = _state;
        _state = unchecked((old * Multiplier) + _increment);
        uint shifted = (uint)(((old >> 18) ^ old) >> 27);
        return uint.RotateRight(shifted, (int)(old >> 59));
    }

    /// <summary>Uniform from 0, never 1.</summary>
    public double NextUnit() => Next() * (1.0 / 4294967296.0);

    /// <summary>Uniform from 0 to one less than the bound.</summary>
    public int NextBelow(int bound) => (int)(((ulong)Next() * (ulong)bound) >> 32);

    /// <summary>
    /// Mean 0, standard deviation 1, as the sum of twelve uniforms less six: sums only, so the same bits everywhere;
    /// no value lies beyond 6.
    /// </summary>
    public double NextNormal()
    {
        double sum = -6;
        for (int i = 0; i < 12; i++)
        {
            sum += NextUnit();
        }

        return sum;
    }
}
