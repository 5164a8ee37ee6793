using System.Diagnostics;

namespace Barostep.Daemon.Api.Metrics;

/// <summary>Metrics of the daemon's own process and of what it keeps.</summary>
internal static class DaemonMetrics
{
    public static IReadOnlyList<MetricFamily> Families { get; } =
    [
        new("barostep.build_info", MetricKind.Gauge, "{build}", "Always 1; the version is in the label.", _ => [new(1, ("version", ProgramVersion.Text))]),
        new("barostep.db.size", MetricKind.Gauge, "By", "Size of the records.", sight => [new(SizeOf(Path.Combine(sight.Context.Journals.State, "records.sqlite")))]),
        new("barostep.disk.free", MetricKind.Gauge, "By", "Free space where records and journals are kept.",
            sight => [new(new DriveInfo(sight.Context.Journals.State).AvailableFreeSpace)]),
        new("barostep.streams.open", MetricKind.Gauge, "{stream}", "Pages and scripts that look on.", sight => [new(sight.Context.OpenStreams)]),
        // Named as every other program names them.
        new("process.cpu", MetricKind.Counter, "s", "Processor time of the daemon's process; its guards have their own.",
            _ => [new(Environment.CpuUsage.TotalTime.TotalSeconds)]),
        new("process.resident_memory", MetricKind.Gauge, "By", "Memory of the daemon's process.", _ => [new(Environment.WorkingSet)]),
        new("process.start_time", MetricKind.Gauge, "s", "When the daemon's process was started, since 1970.", _ => [new(Started)]),
    ];

    private static double Started { get; } = new DateTimeOffset(Process.GetCurrentProcess().StartTime.ToUniversalTime()).ToUnixTimeMilliseconds() / 1e3;

    private static long SizeOf(string path)
    {
        var file = new FileInfo(path);
        return file.Exists ? file.Length : 0;
    }
}
