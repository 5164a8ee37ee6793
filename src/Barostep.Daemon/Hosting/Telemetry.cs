using System.Diagnostics;
using System.Diagnostics.Metrics;
using Barostep.Control;
using Barostep.Daemon.Api.Metrics;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Daemon.Hosting;

/// <summary>The program's metrics and traces: one span a run, one a point within it.</summary>
internal static class Telemetry
{
    public const string Name = "Barostep";

    public static readonly ActivitySource Source = new(Name, ProgramVersion.Text);

    public static readonly Meter Meter = new(Name, ProgramVersion.Text);

    public static readonly Counter<long> Runs = Meter.CreateCounter<long>("barostep.runs", "{run}", "Runs that ended.");

    public static readonly Counter<long> Points = Meter.CreateCounter<long>("barostep.points", "{point}", "Points that were read.");

    public static readonly Counter<long> Vents = Meter.CreateCounter<long>("barostep.safety.vents", "{vent}", "Vents that a safety cause asked for.");

    public static readonly Histogram<double> SettleDuration =
        Meter.CreateHistogram<double>("barostep.settle.duration", "s", "From reaching a set point to reading it.");
}

/// <summary>Turns a run into metrics and spans, stamped with the run's own time.</summary>
internal sealed class TelemetryWatcher(SweepJob job, DateTimeOffset startedUtc, long startMicros) : IRunWatcher, IDisposable
{
    private readonly TagList _bench = new() { { "bench", job.Bench.Name } };
    private readonly Activity? _run = Telemetry.Source.CreateActivity("run", ActivityKind.Internal)
        ?.SetStartTime(startedUtc.UtcDateTime).Start();

    private uint _trips;

    public void Cycle(in BenchSnapshot bench, in RunProgress progress)
    {
        if (bench.TripNumber == _trips)
            return;
        _trips = bench.TripNumber;
        Telemetry.Vents.Add(1, new TagList { { "bench", job.Bench.Name }, { "reason", bench.FirstCause.ToString() } });
        _run?.AddEvent(new ActivityEvent("trip", At(bench.NowMicros), new ActivityTagsCollection { { "cause", bench.FirstCause.ToString() } }));
    }

    public void Happened(RunEvent happened)
    {
        switch (happened)
        {
            case RunEvent.PointRead point:
                Point(point.Point);
                break;
            case RunEvent.Ended ended:
                End(ended);
                break;
            default:
                break;
        }
    }

    public void Dispose() => _run?.Dispose();

    private void Point(PointRecord point)
    {
        Telemetry.Points.Add(1, new TagList { { "bench", job.Bench.Name }, { "direction", BenchMetrics.Snake(point.Direction) } });
        Telemetry.SettleDuration.Record((point.SettledMicros - point.ReachedMicros) / 1e6, _bench);
        Activity? span = Telemetry.Source.CreateActivity("point", ActivityKind.Internal, _run?.Context ?? default)
            ?.SetStartTime(At(point.RequestedMicros).UtcDateTime).Start();
        span?.SetTag("point", point.Index).SetTag("direction", point.Direction.ToString()).SetTag("nominal_pa", point.NominalPascals)
            .SetTag("marks", point.Marks.ToString()).SetEndTime(At(point.Samples[^1].Indication.AnsweredMicros).UtcDateTime).Stop();
    }

    private void End(RunEvent.Ended ended)
    {
        Telemetry.Runs.Add(1, new TagList { { "bench", job.Bench.Name }, { "result", BenchMetrics.Snake(ended.Outcome) } });
        _run?.SetTag("bench", job.Bench.Name).SetTag("device", job.Device.Name).SetTag("procedure", job.Procedure.Name)
            .SetTag("outcome", ended.Outcome.ToString()).SetTag("vent_confirmed", ended.VentConfirmed);
    }

    private DateTimeOffset At(long micros) => startedUtc.AddTicks((micros - startMicros) * 10);
}
