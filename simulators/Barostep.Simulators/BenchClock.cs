namespace Barostep.Simulators;

/// <summary>The bench's time, microseconds from its start; only the bench moves it.</summary>
public sealed class BenchClock
{
    public long NowMicros { get; internal set; }
}
