namespace Barostep.Safety;

/// <summary>Everything that the kernel may base one decision on. The journal keeps it whole.</summary>
public readonly record struct Observation
{
    /// <summary>Number of the cycle, one more than the one before.</summary>
    public long Tick { get; init; }

    /// <summary>Now, in microseconds of the monotonic clock, from any origin at or above zero.</summary>
    public long NowMicros { get; init; }

    /// <summary>Now by the wall clock, in Unix milliseconds. A label: only <see cref="Cause.WallClockStepped"/> looks at it.</summary>
    public long WallMillis { get; init; }

    /// <summary>The reference standard's report: it decides.</summary>
    public SensorReading Reference { get; init; }

    /// <summary>The report of the source's own sensor: it may trip, and where fitted it must be good to permit.</summary>
    public SensorReading SourceSensor { get; init; }

    public SourceReport Source { get; init; }

    public RelayReport Relay { get; init; }

    public HostReport Host { get; init; }

    public PersonRequest Person { get; init; }

    public Intent Intent { get; init; }
}
