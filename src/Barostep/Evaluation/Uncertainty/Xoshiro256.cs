using System.Numerics;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>
/// The generator xoshiro256++ 1.0 of D. Blackman and S. Vigna, its state filled from a seed by SplitMix64. Own code, so
/// that a seed brings the same numbers on every runtime and machine.
/// </summary>
public sealed class Xoshiro256
{
    private ulong _s0;
    private ulong _s1;
    private ulong _s2;
    private ulong _s3;

    public Xoshiro256(ulong seed)
    {
        _s0 = SplitMix64(ref seed);
        _s1 = SplitMix64(ref seed);
        _s2 = SplitMix64(ref seed);
        _s3 = SplitMix64(ref seed);
    }

    /// <summary>With a state of one's own, of which at least one word is not 0.</summary>
    public Xoshiro256(ulong s0, ulong s1, ulong s2, ulong s3) => (_s0, _s1, _s2, _s3) = (s0, s1, s2, s3);

    public ulong Next()
    {
        ulong result = BitOperations.RotateLeft(_s0 + _s3, 23) + _s0;
        ulong shifted = _s1 << 17;
        _s2 ^= _s0;
        _s3 ^= _s1;
        _s1 ^= _s2;
        _s0 ^= _s3;
        _s2 ^= shifted;
        _s3 = BitOperations.RotateLeft(_s3, 45);
        return result;
    }

    /// <summary>Uniform between 0 and 1, never either of them.</summary>
    public double NextUnit() => ((Next() >> 11) + 0.5) * (1.0 / (1UL << 53));

    /// <summary>One step of SplitMix64; moves the state on.</summary>
    public static ulong SplitMix64(ref ulong state)
    {
        state += 0x9E3779B97F4A7C15;
        ulong z = state;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
        return z ^ (z >> 31);
    }
}
