using Barostep.Control;

namespace Barostep.Daemon.Hosting;

/// <summary>How a wait for the vent's proof ended.</summary>
internal enum VentWaitEnd
{
    /// <summary>It goes on.</summary>
    None,

    Proved,

    /// <summary>A line is at fault, so that nobody can tell.</summary>
    Blind,

    TooLong,
}

/// <summary>After a stop: how long the vent's proof is waited for.</summary>
internal sealed class VentWait(long sinceMicros)
{
    private const long LongestMicros = 60_000_000;

    /// <summary>With a line at fault a longer wait shows nothing; a line that is plugged in again at once still counts.</summary>
    private const long BlindMicros = 20_000_000;

    public VentWaitEnd End { get; private set; }

    public void Watch(long nowMicros, in BenchSnapshot bench)
    {
        long waited = nowMicros - sinceMicros;
        if (bench.Depressurised)
            End = VentWaitEnd.Proved;
        else if (bench.LineFault is not null && waited >= BlindMicros)
            End = VentWaitEnd.Blind;
        else if (waited >= LongestMicros)
            End = VentWaitEnd.TooLong;
    }
}
