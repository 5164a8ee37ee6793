using System.Globalization;
using System.Text;

namespace Barostep.Guard;

/// <summary>How late the guard's own cycles are: what its limits on time rest on.</summary>
internal sealed class Lateness
{
    /// <summary>What the design allows from a reading's arrival to the first byte of a command (SR-21).</summary>
    private const long AllowedMicros = 20_000;

    /// <summary>So many in an hour are chance; more are a warning (SR-21).</summary>
    private const int OftenIsMoreThan = 3;

    private const long HourMicros = 3_600_000_000;

    private static readonly long[] BoundsMicros = [1_000, 2_000, 5_000, 10_000, AllowedMicros, 50_000, 100_000, 200_000];

    private readonly long[] _counts = new long[BoundsMicros.Length + 1];
    private readonly long[] _lateAt = new long[OftenIsMoreThan + 1];
    private long _worstOfMinute;
    private long _nowMicros;

    /// <summary>Worst of all cycles so far, µs.</summary>
    public long WorstMicros { get; private set; }

    /// <summary>Cycles later than allowed.</summary>
    public long LateCycles { get; private set; }

    /// <summary>Whether more cycles than are chance were late within the last hour.</summary>
    public bool IsOften => LateCycles > OftenIsMoreThan && _nowMicros - _lateAt[LateCycles % _lateAt.Length] < HourMicros;

    public void Take(long lateMicros, long nowMicros)
    {
        _nowMicros = nowMicros;
        int bucket = 0;
        while (bucket < BoundsMicros.Length && lateMicros > BoundsMicros[bucket])
            bucket++;
        _counts[bucket]++;
        _worstOfMinute = Math.Max(_worstOfMinute, lateMicros);
        WorstMicros = Math.Max(WorstMicros, lateMicros);
        if (lateMicros > AllowedMicros)
            _lateAt[LateCycles++ % _lateAt.Length] = nowMicros;
    }

    /// <summary>Tells the cycles since it was last asked, and begins anew.</summary>
    public string Report()
    {
        var text = new StringBuilder("lateness of cycles:");
        for (int i = 0; i < _counts.Length; i++)
        {
            string bound = i < BoundsMicros.Length ? $"to {BoundsMicros[i] / 1000} ms" : "more";
            text.Append(CultureInfo.InvariantCulture, $" {bound} {_counts[i]},");
        }

        text.Append(CultureInfo.InvariantCulture, $" worst {_worstOfMinute / 1000.0:F1} ms");
        Array.Clear(_counts);
        _worstOfMinute = 0;
        return text.ToString();
    }
}
