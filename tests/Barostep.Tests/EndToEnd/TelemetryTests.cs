using System.Diagnostics;
using System.Diagnostics.Metrics;
using Barostep.Daemon.Hosting;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class TelemetryTests : IDisposable
{
    private readonly Workshop _workshop = new();
    private readonly List<Activity> _spans = [];
    private readonly Dictionary<string, double> _sums = [];

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public void A_sweep_is_one_run_span_with_one_child_span_a_point_and_counts_itself()
    {
        RunResult result = Watched();

        Activity run = Assert.Single(_spans, span => span.OperationName == "run");
        List<Activity> points = [.. _spans.Where(span => span.OperationName == "point")];
        Assert.Equal(_spans.Count, points.Count + 1);
        Assert.Equal(result.Points.Count, points.Count);
        Assert.All(points, point => Assert.Equal((run.SpanId, run.TraceId), (point.ParentSpanId, point.TraceId)));
        Assert.Equal(result.Points.Select(point => (object?)point.Index), points.Select(point => point.GetTagItem("point")));
        Assert.Equal(
            ("demo", "transmitter-16bar", "quick", "Completed", (object)true),
            (run.GetTagItem("bench"), run.GetTagItem("device"), run.GetTagItem("procedure"), run.GetTagItem("outcome"), run.GetTagItem("vent_confirmed")));
        Assert.Equal((1, 6), (_sums["barostep.runs"], _sums["barostep.points"]));
        Assert.False(_sums.ContainsKey("barostep.safety.vents"));
    }

    [Fact]
    public void Spans_carry_the_run_s_own_time()
    {
        RunResult result = Watched();

        Activity run = _spans.Single(span => span.OperationName == "run");
        Assert.Equal(VirtualRun.Started.UtcDateTime, run.StartTimeUtc);
        foreach ((Activity span, Barostep.Records.PointRecord point) in _spans.Where(span => span.OperationName == "point").Zip(result.Record.Points))
        {
            Assert.Equal(At(point.RequestedMicros), span.StartTimeUtc);
            Assert.Equal(At(point.Samples[^1].Indication.AnsweredMicros), span.StartTimeUtc + span.Duration);
        }
    }

    private static DateTime At(long micros) => VirtualRun.Started.AddTicks(micros * 10).UtcDateTime;

    private RunResult Watched()
    {
        using var spansHeard = new ActivityListener
        {
            ShouldListenTo = source => source.Name == Telemetry.Name,
            Sample = (ref ActivityCreationOptions<ActivityContext> _) => ActivitySamplingResult.AllData,
            ActivityStopped = _spans.Add,
        };
        ActivitySource.AddActivityListener(spansHeard);
        using var metersHeard = new MeterListener
        {
            InstrumentPublished = (instrument, listener) =>
            {
                if (instrument.Meter.Name == Telemetry.Name)
                    listener.EnableMeasurementEvents(instrument);
            },
        };
        metersHeard.SetMeasurementEventCallback<long>((instrument, value, _, _) =>
            _sums[instrument.Name] = _sums.GetValueOrDefault(instrument.Name) + value);
        metersHeard.Start();

        SweepJob job = VirtualRun.Job(_workshop, "demo", "transmitter-16bar", "quick");
        TelemetryWatcher? watcher = null;
        RunResult result = VirtualRun.Of(job, _workshop.BenchFile("demo"), startMicros => [watcher = new TelemetryWatcher(job, VirtualRun.Started, startMicros)]);
        watcher!.Dispose();
        return result;
    }
}
