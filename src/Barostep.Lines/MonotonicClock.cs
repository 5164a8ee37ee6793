namespace Barostep.Lines;

/// <summary>Microseconds on the monotonic clock of the machine, the same for every process on it.</summary>
public static class MonotonicClock
{
    public static long NowMicros(this TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(time);
        return (long)((Int128)time.GetTimestamp() * 1_000_000 / time.TimestampFrequency);
    }
}
