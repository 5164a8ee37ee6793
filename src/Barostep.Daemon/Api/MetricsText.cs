using System.Globalization;
using System.Text;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Live;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Api;

/// <summary>
/// Metrics in the Prometheus text format 0.0.4: base units, a value only where one is known. An age is told rather than
/// the last value of something that has fallen silent.
/// </summary>
internal sealed class MetricsText
{
    public const string ContentType = "text/plain; version=0.0.4; charset=utf-8";

    private readonly StringBuilder _text = new();
    private readonly ApiContext _context;
    private readonly List<(string Bench, BenchSight Sight)> _benches;

    private MetricsText(ApiContext context)
    {
        _context = context;
        _benches = [.. context.Boards.Values.Select(board => (board.Bench.Name, board.Look()))];
    }

    public static string Of(ApiContext context)
    {
        var metrics = new MetricsText(context);
        metrics.Benches();
        metrics.Pressures();
        metrics.Runs();
        metrics.Records();
        return metrics._text.ToString();
    }

    private void Benches()
    {
        Head("barostep_build_info", "gauge", "Always 1; the version is in the label.");
        Line("barostep_build_info", 1, ("version", ProgramVersion.Text));
        Head("barostep_guard_up", "gauge", "Whether the bench's guard is connected.");
        foreach ((string bench, BenchSight sight) in _benches)
            Line("barostep_guard_up", sight.GuardIsHere ? 1 : 0, ("bench", bench));
        Head("barostep_run_state", "gauge", "1 for the phase that the bench's run is in; idle where there is none.");
        foreach ((string bench, BenchSight sight) in _benches)
        {
            RunPhase phase = sight.Run?.Progress.Phase ?? RunPhase.Idle;
            foreach (RunPhase one in Enum.GetValues<RunPhase>())
                Line("barostep_run_state", one == phase ? 1 : 0, ("bench", bench), ("state", Snake(one)));
        }

        Head("barostep_trip_latched", "gauge", "Whether a trip waits for a person.");
        foreach ((string bench, BenchSight sight) in _benches.Where(one => one.Sight.Told is not null))
            Line("barostep_trip_latched", sight.Told!.Value.Bench.FirstCause == Cause.None ? 0 : 1, ("bench", bench));
        Head("barostep_safety_vents_total", "counter", "Trips since the daemon's start, by first cause.");
        foreach (BenchBoard board in _context.Boards.Values)
        {
            foreach ((string cause, long count) in board.SafetyVents())
                Line("barostep_safety_vents_total", count, ("bench", board.Bench.Name), ("reason", cause));
        }
    }

    private void Pressures()
    {
        Head("barostep_pressure_pascals", "gauge", "Absolute pressure, by who tells it.");
        foreach ((string bench, BenchSight sight) in _benches)
        {
            if (sight.Told is { } told)
            {
                Pressure("reference", bench, told.Bench.Reference);
                Pressure("source", bench, told.Bench.SourceSensor);
            }

            if (sight.Run is { Ended: null } run && BenchTrace.IndicationOf(run) is { } indication)
                Line("barostep_pressure_pascals", indication.Pascals, ("bench", bench), ("role", "device"));
        }

        Head("barostep_setpoint_pascals", "gauge", "Absolute pressure that the run asks for.");
        foreach ((string bench, BenchSight sight) in _benches.Where(one => one.Sight.Run is { Ended: null, Progress.Steps: > 0 }))
            Line("barostep_setpoint_pascals", sight.Run!.Progress.Target.Pascals, ("bench", bench));
        Head("barostep_ceiling_pascals", "gauge", "Absolute ceiling in force.");
        foreach ((string bench, BenchSight sight) in _benches.Where(one => one.Sight.Told is not null))
            Line("barostep_ceiling_pascals", sight.Told!.Value.Bench.EffectiveCeiling.Pascals, ("bench", bench));
        Head("barostep_loop_current_amperes", "gauge", "Loop current of the device under test.");
        foreach ((string bench, BenchSight sight) in _benches.Where(one => one.Sight.Run is { Ended: null, Indication.Count: > 0, Job.Device.Output: DeviceOutput.Current }))
            Line("barostep_loop_current_amperes", sight.Run!.Indication.Value, ("bench", bench));
        Head("barostep_reading_age_seconds", "gauge", "Since the newest question was sent.");
        foreach ((string bench, BenchSight sight) in _benches.Where(one => one.Sight.Told is not null))
        {
            BenchSnapshot told = sight.Told!.Value.Bench;
            Age("reference", bench, told.Reference, sight.NowMicros);
            Age("source", bench, told.SourceSensor, sight.NowMicros);
        }
    }

    private void Runs()
    {
        var runs = new StringBuilder();
        var points = new StringBuilder();
        var settle = new StringBuilder();
        _context.Counts.Tell(
            (bench, outcome, count) => Line(runs, "barostep_runs_total", count, ("bench", bench), ("result", Snake(outcome))),
            (bench, direction, verdict, count) => Line(points, "barostep_points_total", count, ("bench", bench), ("direction", Snake(direction)), ("verdict", Snake(verdict))),
            (bench, times) => Settle(settle, bench, times));
        Head("barostep_runs_total", "counter", "Runs that ended since the daemon's start.");
        _text.Append(runs);
        Head("barostep_points_total", "counter", "Points that were read since the daemon's start.");
        _text.Append(points);
        Head("barostep_settle_duration_seconds", "histogram", "From reaching a set point to reading it.");
        _text.Append(settle);
    }

    private void Records()
    {
        string folder = _context.Journals.State;
        var store = new FileInfo(Path.Combine(folder, "records.sqlite"));
        Head("barostep_db_size_bytes", "gauge", "Size of the records.");
        Line("barostep_db_size_bytes", store.Exists ? store.Length : 0);
        Head("barostep_disk_free_bytes", "gauge", "Free space where records and journals are kept.");
        Line("barostep_disk_free_bytes", new DriveInfo(folder).AvailableFreeSpace);
        Head("barostep_reference_due_seconds", "gauge", "Until the reference standard's calibration is due; negative when overdue.");
        DateTime now = _context.Time.GetUtcNow().UtcDateTime;
        foreach (BenchBoard board in _context.Boards.Values.Where(one => one.Bench.Reference.Standard is not null))
        {
            double seconds = (board.Bench.Reference.Standard!.DueOn.ToDateTime(TimeOnly.MinValue) - now).TotalSeconds;
            Line("barostep_reference_due_seconds", Math.Floor(seconds), ("bench", board.Bench.Name), ("device", board.Bench.Reference.Standard.Name));
        }
    }

    private void Pressure(string role, string bench, in SensorReading reading)
    {
        if (reading.IsGood)
            Line("barostep_pressure_pascals", reading.Value.Pascals, ("bench", bench), ("role", role));
    }

    private void Age(string role, string bench, in SensorReading reading, long nowMicros)
    {
        if (reading.AskedAtMicros > 0)
            Line("barostep_reading_age_seconds", Math.Max(0, nowMicros - reading.AskedAtMicros) / 1e6, ("bench", bench), ("device", role));
    }

    private static void Settle(StringBuilder text, string bench, RunCounts.SettleTimes times)
    {
        for (int i = 0; i < RunCounts.SettleBuckets.Length; i++)
        {
            string upTo = RunCounts.SettleBuckets[i].ToString(CultureInfo.InvariantCulture);
            Line(text, "barostep_settle_duration_seconds_bucket", times.Counts[i], ("bench", bench), ("le", upTo));
        }

        Line(text, "barostep_settle_duration_seconds_bucket", times.Count, ("bench", bench), ("le", "+Inf"));
        Line(text, "barostep_settle_duration_seconds_sum", times.Sum, ("bench", bench));
        Line(text, "barostep_settle_duration_seconds_count", times.Count, ("bench", bench));
    }

    private void Head(string name, string type, string help) =>
        _text.Append(CultureInfo.InvariantCulture, $"# HELP {name} {help}\n# TYPE {name} {type}\n");

    private void Line(string name, double value, params ReadOnlySpan<(string Name, string Value)> labels) => Line(_text, name, value, labels);

    private static void Line(StringBuilder text, string name, double value, params ReadOnlySpan<(string Name, string Value)> labels)
    {
        text.Append(name);
        for (int i = 0; i < labels.Length; i++)
        {
            string escaped = labels[i].Value.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\"", "\\\"", StringComparison.Ordinal);
            text.Append(i == 0 ? '{' : ',').Append(labels[i].Name).Append("=\"").Append(escaped).Append('"');
        }

        text.Append(labels.Length > 0 ? "} " : " ").Append(value.ToString("R", CultureInfo.InvariantCulture)).Append('\n');
    }

    private static string Snake<T>(T word)
        where T : struct, Enum => System.Text.Json.JsonNamingPolicy.SnakeCaseLower.ConvertName(word.ToString());
}
