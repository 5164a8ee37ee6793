using System.Globalization;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Daemon.Benchmarks;

/// <summary>Time and memory of one decision of the safety kernel.</summary>
internal static class KernelBenchmark
{
    private const int Batch = 10_000;

    public static void Run(TextWriter output, WorkshopConfiguration workshop, TimeSpan length)
    {
        SafetyLimits limits = BenchSafety.LimitsFor(workshop.Benches["demo"], workshop.Devices["transmitter-16bar"], workshop.Origins);
        SafetyState state = SafetyState.Initial;
        long tick = 0;
        Decide(limits, ref state, ref tick);
        long began = TimeProvider.System.GetTimestamp();
        long allocated = GC.GetAllocatedBytesForCurrentThread();
        long decisions = 0;
        double best = double.MaxValue;
        while (TimeProvider.System.GetElapsedTime(began) < length)
        {
            long batch = TimeProvider.System.GetTimestamp();
            Decide(limits, ref state, ref tick);
            best = Math.Min(best, TimeProvider.System.GetElapsedTime(batch).TotalNanoseconds / Batch);
            decisions += Batch;
        }

        double mean = TimeProvider.System.GetElapsedTime(began).TotalNanoseconds / decisions;
        long bytes = GC.GetAllocatedBytesForCurrentThread() - allocated;
        output.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"one decision: {mean:F0} ns on average, {best:F0} ns in the best batch of {Batch}, {(double)bytes / decisions:F3} bytes allocated, over {decisions} decisions"));
    }

    /// <summary>A bench that holds pressure in good order: every check is passed, so none is cut short.</summary>
    private static void Decide(SafetyLimits limits, ref SafetyState state, ref long tick)
    {
        for (int i = 0; i < Batch; i++)
        {
            long now = ++tick * 50_000;
            Pressure pressure = Pressure.FromMilliPascals(limits.Atmosphere.MilliPascals + (tick % 7));
            var reading = new SensorReading(ReadingQuality.Good, pressure, now - 40_000, now - 5_000, (ulong)(tick % 7), tick);
            var seen = new Observation
            {
                Tick = tick,
                NowMicros = now,
                WallMillis = now / 1000,
                Reference = reading,
                SourceSensor = reading,
                Source = new SourceReport { LineUp = true },
                Intent = new Intent(1, (uint)tick, IntentKind.Vent, limits.Atmosphere, 1, now - 1000),
            };
            SafetyKernel.Decide(state, seen, limits, out state);
        }
    }
}
