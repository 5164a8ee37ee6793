using System.Text.Json;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Live;
using Barostep.Lines.GuardLine;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Daemon.Api.Metrics;

/// <summary>
/// Every metric of a bench: base units, a value only where one is known. An age is told rather than the last value of
/// something that has fallen silent.
/// </summary>
internal static class BenchMetrics
{
    public static IReadOnlyList<MetricFamily> Families { get; } =
    [
        new("barostep.guard.up", MetricKind.Gauge, "{guard}", "Whether the bench's guard is connected.",
            sight => Each(sight, (bench, seen) => [new(seen.GuardIsHere ? 1 : 0, ("bench", bench))])),
        new("barostep.run.state", MetricKind.Gauge, "{state}", "1 for the phase that the bench's run is in; idle where there is none.",
            sight => Each(sight, States)),
        new("barostep.trip.latched", MetricKind.Gauge, "{trip}", "Whether a trip waits for a person.",
            sight => Told(sight, (bench, told, _) => [new(told.Bench.FirstCause == Cause.None ? 0 : 1, ("bench", bench))])),
        new("barostep.depressurised", MetricKind.Gauge, "{bench}", "Whether the bench's sensors say that it is vented.",
            sight => Told(sight, (bench, told, _) => [new(told.Bench.Depressurised ? 1 : 0, ("bench", bench))])),
        new("barostep.safety.vents", MetricKind.Counter, "{vent}", "Trips since the daemon's start, by first cause.",
            sight => sight.Benches.SelectMany(one => one.Board.SafetyVents().Select(vent => new MetricSample(vent.Value, ("bench", one.Board.Bench.Name), ("reason", vent.Key))))),
        new("barostep.pressure", MetricKind.Gauge, "Pa", "Absolute pressure, by who tells it.",
            sight => Told(sight, Pressures).Concat(Running(sight, DevicePressure))),
        new("barostep.setpoint", MetricKind.Gauge, "Pa", "Absolute pressure that the run asks for.",
            sight => Running(sight, static (bench, run) => run.Progress.Steps > 0 ? [new(run.Progress.Target.Pascals, ("bench", bench))] : [])),
        new("barostep.ceiling", MetricKind.Gauge, "Pa", "Absolute ceiling in force.",
            sight => Told(sight, (bench, told, _) => [new(told.Bench.EffectiveCeiling.Pascals, ("bench", bench))])),
        new("barostep.loop.current", MetricKind.Gauge, "A", "Loop current of the device under test.",
            sight => Running(sight, LoopCurrent)),
        new("barostep.reading.age", MetricKind.Gauge, "s", "Since the newest question was sent.",
            sight => Told(sight, (bench, told, now) => [.. Age("reference", bench, told.Bench.Reference, now), .. Age("source", bench, told.Bench.SourceSensor, now)])),
        new("barostep.guard.late_cycles", MetricKind.Counter, "{cycle}", "Cycles of the guard that began more than 20 ms late, since the guard's start.",
            sight => Told(sight, (bench, told, _) => [new(told.Guard.LateCycles, ("bench", bench))])),
        new("barostep.guard.worst_lateness", MetricKind.Gauge, "s", "The latest beginning of a cycle since the guard's start.",
            sight => Told(sight, (bench, told, _) => [new(told.Guard.WorstLatenessMicros / 1e6, ("bench", bench))])),
        new("barostep.reference.due", MetricKind.Gauge, "s", "Until the reference standard's calibration is due; negative when overdue.",
            sight => sight.Benches.SelectMany(one => Due(one.Board, sight.Context.Time.GetUtcNow().UtcDateTime))),
    ];

    private static IEnumerable<MetricSample> Each(MetricsSight sight, Func<string, BenchSight, IEnumerable<MetricSample>> samples) =>
        sight.Benches.SelectMany(one => samples(one.Board.Bench.Name, one.Sight));

    private static IEnumerable<MetricSample> Told(MetricsSight sight, Func<string, SnapshotRecord, long, IEnumerable<MetricSample>> samples) =>
        Each(sight, (bench, seen) => seen.Told is { } told ? samples(bench, told, seen.NowMicros) : []);

    private static IEnumerable<MetricSample> Running(MetricsSight sight, Func<string, RunSight, IEnumerable<MetricSample>> samples) =>
        Each(sight, (bench, seen) => seen.Run is { Ended: null } run ? samples(bench, run) : []);

    private static IEnumerable<MetricSample> States(string bench, BenchSight sight)
    {
        RunPhase phase = sight.Run?.Progress.Phase ?? RunPhase.Idle;
        return Enum.GetValues<RunPhase>().Select(one => new MetricSample(one == phase ? 1 : 0, ("bench", bench), ("state", Snake(one))));
    }

    private static IEnumerable<MetricSample> Pressures(string bench, SnapshotRecord told, long now)
    {
        if (told.Bench.Reference.IsGood)
            yield return new MetricSample(told.Bench.Reference.Value.Pascals, ("bench", bench), ("role", "reference"));
        if (told.Bench.SourceSensor.IsGood)
            yield return new MetricSample(told.Bench.SourceSensor.Value.Pascals, ("bench", bench), ("role", "source"));
    }

    private static IEnumerable<MetricSample> DevicePressure(string bench, RunSight run) =>
        BenchTrace.IndicationOf(run) is { } indication ? [new MetricSample(indication.Pascals, ("bench", bench), ("role", "device"))] : [];

    private static IEnumerable<MetricSample> LoopCurrent(string bench, RunSight run) =>
        run is { Indication.Count: > 0, Job.Device.Output: DeviceOutput.Current } ? [new MetricSample(run.Indication.Value, ("bench", bench))] : [];

    private static IEnumerable<MetricSample> Age(string role, string bench, in SensorReading reading, long nowMicros) => reading.AskedAtMicros > 0
        ? [new MetricSample(Math.Max(0, nowMicros - reading.AskedAtMicros) / 1e6, ("bench", bench), ("device", role))]
        : [];

    private static IEnumerable<MetricSample> Due(BenchBoard board, DateTime now) => board.Bench.Reference.Standard is { } standard
        ? [new MetricSample(Math.Floor((standard.DueOn.ToDateTime(TimeOnly.MinValue) - now).TotalSeconds), ("bench", board.Bench.Name), ("device", standard.Name))]
        : [];

    /// <summary>The word that a label has for a member of an enumeration.</summary>
    public static string Snake<T>(T word)
        where T : struct, Enum => JsonNamingPolicy.SnakeCaseLower.ConvertName(word.ToString());
}
