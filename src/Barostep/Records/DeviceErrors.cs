using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Drift;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>The errors of one device over the years, from what was told when each run ended.</summary>
/// <remarks>Two statements for all runs. A run that an earlier version stored has no such rows, and is evaluated again.</remarks>
internal static class DeviceErrors
{
    private const string OfIdentity = "device IN (SELECT id FROM devices WHERE manufacturer = $1 AND model = $2 AND serial_number = $3)";

    public static IReadOnlyList<RunErrors> Load(SqliteConnection connection, DeviceIdentity device)
    {
        ILookup<long, PointError> points = Points(connection, device);
        List<(long Number, RunErrors Run)> runs = Runs(connection, device);
        return
        [
            .. runs.Select(run => points.Contains(run.Number)
                ? run.Run with { Points = [.. points[run.Number]] }
                : RunErrors.Of(RunEvaluation.Evaluate(RunReader.Load(connection, run.Number)))),
        ];
    }

    private static List<(long Number, RunErrors Run)> Runs(SqliteConnection connection, DeviceIdentity device)
    {
        // A device has few definitions and many runs, and reading one takes longer than a row.
        var definitions = new Dictionary<long, DeviceDefinition>();
        return connection.Rows(
            row => (row.GetInt64(0), new RunErrors(
                row.GetString(1),
                StoredText.Moment(row.GetString(2)),
                Definition(connection, definitions, row.GetInt64(3)),
                row.GetBoolean(4),
                StoredText.Word<RunOutcome>(row.GetString(5)),
                row.IsDBNull(6) ? null : StoredText.Word<JobStage>(row.GetString(6)),
                [])),
            $"""
            SELECT runs.number, runs.id, started_utc, device, simulated, endings.outcome, run_jobs.stage
            FROM runs JOIN endings ON endings.run = runs.number LEFT JOIN run_jobs ON run_jobs.run = runs.number
            WHERE {OfIdentity} ORDER BY started_utc, runs.number
            """,
            device.Manufacturer, device.Model, device.SerialNumber);
    }

    private static ILookup<long, PointError> Points(SqliteConnection connection, DeviceIdentity device) => connection.Rows(
        row => (Run: row.GetInt64(0), Point: new PointError(
            row.GetInt32(1), row.GetInt32(2), StoredText.Word<SeriesDirection>(row.GetString(3)), row.GetDouble(4), row.GetDouble(5),
            row.NumberOrNull(6), row.NumberOrNull(7), row.NumberOrNull(8))),
        $"""
        SELECT run, point, cycle, direction, nominal_pa, error_of_span, expanded_of_span, coverage_factor, scatter_of_span
        FROM point_results WHERE run IN (SELECT number FROM runs WHERE {OfIdentity}) ORDER BY run, point
        """,
        device.Manufacturer, device.Model, device.SerialNumber).ToLookup(read => read.Run, read => read.Point);

    private static DeviceDefinition Definition(SqliteConnection connection, Dictionary<long, DeviceDefinition> known, long id)
    {
        if (known.TryGetValue(id, out DeviceDefinition? definition))
            return definition;
        return known[id] = connection.Rows(
            row => StoredText.Parsed(row.GetString(0), RecordJsonReader.Device), "SELECT definition FROM devices WHERE id = $1", id)[0];
    }
}
