using Barostep.Daemon.Live;

namespace Barostep.Daemon.Api.Metrics;

/// <summary>Metrics of the runs that the daemon did. Over OTLP each run tells them itself, with its spans.</summary>
internal static class RunMetrics
{
    public const string SettleDuration = "barostep_settle_duration_seconds";
    public const string SettleHelp = "From reaching a set point to reading it.";

    public static IReadOnlyList<MetricFamily> Families { get; } =
    [
        new("barostep.runs", MetricKind.Counter, "{run}", "Runs that ended since the daemon's start.", sight => Runs(sight.Context.Counts)),
        new("barostep.points", MetricKind.Counter, "{point}", "Points that were read since the daemon's start.", sight => Points(sight.Context.Counts)),
    ];

    private static List<MetricSample> Runs(RunCounts counts)
    {
        var samples = new List<MetricSample>();
        counts.Tell(
            (bench, outcome, count) => samples.Add(new MetricSample(count, ("bench", bench), ("result", BenchMetrics.Snake(outcome)))),
            static (_, _, _, _) => { },
            static (_, _) => { });
        return samples;
    }

    private static List<MetricSample> Points(RunCounts counts)
    {
        var samples = new List<MetricSample>();
        counts.Tell(
            static (_, _, _) => { },
            (bench, direction, verdict, count) => samples.Add(new MetricSample(
                count, ("bench", bench), ("direction", BenchMetrics.Snake(direction)), ("verdict", BenchMetrics.Snake(verdict)))),
            static (_, _) => { });
        return samples;
    }
}
