namespace Barostep.Daemon.Simulation;

/// <summary>The clocks of the simulated computer, read at a time of the bench.</summary>
/// <remarks>The bench's time runs on whatever the computer does. Its monotonic clock begins anew at each boot and stands still while it is suspended.</remarks>
internal sealed class WorldClock
{
    private static readonly DateTimeOffset Began = new(2026, 3, 2, 21, 0, 0, TimeSpan.Zero);

    private long _lagMicros;
    private long _wallShiftMicros;
    private long _suspendedMicros;

    /// <summary>The computer's monotonic time at a time of the bench.</summary>
    public long MonotonicAt(long benchMicros) => benchMicros - _lagMicros;

    /// <summary>The bench's time at a monotonic time; <see cref="long.MaxValue"/> stays.</summary>
    public long BenchTimeAt(long monotonicMicros) => monotonicMicros == long.MaxValue ? long.MaxValue : monotonicMicros + _lagMicros;

    /// <summary>What the wall clock says at a time of the bench.</summary>
    public DateTimeOffset WallAt(long benchMicros) => Began.AddTicks((benchMicros + _wallShiftMicros) * 10);

    /// <summary>The wall clock is set.</summary>
    public void StepWall(long byMicros) => _wallShiftMicros += byMicros;

    /// <summary>The computer slept for so long.</summary>
    public void Suspend(long micros)
    {
        _lagMicros += micros;
        _suspendedMicros += micros;
    }

    /// <summary>The computer was switched on.</summary>
    public void Boot(long benchMicros)
    {
        _lagMicros = benchMicros;
        _suspendedMicros = 0;
    }

    /// <summary>How long the computer slept since this was asked last.</summary>
    public long TakeSuspended()
    {
        long slept = _suspendedMicros;
        _suspendedMicros = 0;
        return slept;
    }
}
