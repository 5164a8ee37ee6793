using System.Runtime.InteropServices;
using Barostep.Control;
using Barostep.Lines;

namespace Barostep.Guard;

/// <summary>The machine's clocks, and whether it slept since they were last looked at.</summary>
internal sealed partial class HostClock(TimeProvider time, Func<bool> diskLow)
{
    /// <summary>The clock of Linux that goes on while the machine is suspended (clock_gettime(2)).</summary>
    private const int BootTime = 7;

    /// <summary>Less than this is the time between two looks.</summary>
    private const long LeastSuspendMicros = 50_000;

    private long? _asleepMicros;

    public CycleClock At(long nowMicros)
    {
        long asleep = BootMicros() - time.NowMicros();
        long suspended = _asleepMicros is { } before && asleep - before > LeastSuspendMicros ? asleep - before : 0;
        // A look that was interrupted shows too much sleep once; the next must not inherit it.
        _asleepMicros = _asleepMicros is { } least && suspended == 0 ? Math.Min(least, asleep) : asleep;
        return new CycleClock(nowMicros, time.GetUtcNow().ToUnixTimeMilliseconds(), suspended, diskLow());
    }

    private static long BootMicros() => GetTime(BootTime, out TimeSpec now) == 0 ? (now.Seconds * 1_000_000) + (now.Nanos / 1000) : 0;

    [LibraryImport("libc", EntryPoint = "clock_gettime")]
    private static partial int GetTime(int clock, out TimeSpec now);

    private struct TimeSpec
    {
        public long Seconds;
        public long Nanos;
    }
}
