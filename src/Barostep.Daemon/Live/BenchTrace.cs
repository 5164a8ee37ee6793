using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Safety;

namespace Barostep.Daemon.Live;

/// <summary>One moment of the recent past; pressures are absolute, null where nothing good was known.</summary>
/// <param name="Micros">Monotonic.</param>
/// <param name="ReferencePascals">What the reference told.</param>
/// <param name="IndicationPascals">What the device told.</param>
/// <param name="TargetPascals">What the run asked for.</param>
/// <param name="CeilingPascals">The ceiling in force.</param>
internal readonly record struct TraceMoment(
    long Micros, double? ReferencePascals, double? IndicationPascals, double? TargetPascals, double CeilingPascals);

/// <summary>Half an hour of a bench's past, at most two moments a second. Any thread.</summary>
internal sealed class BenchTrace
{
    private const int Length = 3600;
    private const long LeastMicros = 500_000;

    private readonly Lock _gate = new();
    private readonly Queue<TraceMoment> _moments = new(Length);
    private long _lastMicros = long.MinValue / 2;

    public void Add(in BenchSnapshot bench, RunSight? run)
    {
        if (bench.NowMicros - _lastMicros < LeastMicros)
            return;
        bool goesOn = run is { Ended: null };
        var moment = new TraceMoment(
            bench.NowMicros,
            bench.Reference.IsGood ? bench.Reference.Value.Pascals : null,
            goesOn ? IndicationOf(run!)?.Pascals : null,
            goesOn && run!.Progress.Steps > 0 ? run.Progress.Target.Pascals : null,
            bench.EffectiveCeiling.Pascals);
        lock (_gate)
        {
            _lastMicros = bench.NowMicros;
            if (_moments.Count == Length)
                _moments.Dequeue();
            _moments.Enqueue(moment);
        }
    }

    public TraceMoment[] Moments()
    {
        lock (_gate)
            return [.. _moments];
    }

    /// <summary>The pressure that the device tells; null before it told any.</summary>
    public static Pressure? IndicationOf(RunSight run)
    {
        if (run.Indication.Count == 0 || run.Job.Device.Output == Configuration.DeviceOutput.Contact)
            return null;
        SweepJob job = run.Job;
        Pressure atmosphere = Configuration.BenchLimits.AtmosphereOf(job.Bench);
        if (job.Device.TellsPressure)
            return Pressure.FromPascals(run.Indication.Value);
        Pressure zero = job.Device.Reference == PressureReference.Gauge ? atmosphere : Pressure.Vacuum;
        return zero + PressureDifference.FromPascals(Transfer.ToPascals(job.Device, run.Indication.Value));
    }
}
