using Barostep.Configuration;
using Barostep.Evaluation;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Lists of runs. Rows are chosen in an index first, so that a list costs its own length and not the store's.</summary>
internal static class RunLists
{
    private const int MostNamed = 5;

    private const string Summaries = """
        SELECT runs.id, started_utc, bench, devices.definition, procedure_name, simulated, endings.outcome,
               (SELECT count(*) FROM points WHERE points.run = runs.number), results.verdict, results.largest_error_of_span,
               jobs.name, run_jobs.stage, endings.outcome_reason
        FROM runs
        JOIN devices ON devices.id = runs.device
        LEFT JOIN endings ON endings.run = runs.number
        LEFT JOIN results ON results.run = runs.number
        LEFT JOIN run_jobs ON run_jobs.run = runs.number
        LEFT JOIN jobs ON jobs.id = run_jobs.job
        """;

    private const string OfIdentity = "device IN (SELECT id FROM devices WHERE manufacturer = $1 AND model = $2 AND serial_number = $3)";

    public static List<RunSummary> Page(SqliteConnection connection, int page, int pageSize) => connection.Rows(
        Summary,
        $"""
        {Summaries}
        WHERE runs.number IN (SELECT number FROM runs ORDER BY started_utc DESC, number DESC LIMIT $1 OFFSET $2)
        ORDER BY started_utc DESC, runs.number DESC
        """,
        pageSize, (page - 1L) * pageSize);

    public static List<RunSummary> OfDevice(SqliteConnection connection, DeviceIdentity device) => connection.Rows(
        Summary,
        $"{Summaries} WHERE {OfIdentity} ORDER BY started_utc DESC, runs.number DESC",
        device.Manufacturer, device.Model, device.SerialNumber);

    public static List<RunSummary> Since(SqliteConnection connection, DateTimeOffset utc) => connection.Rows(
        Summary,
        $"{Summaries} WHERE coalesce(endings.ended_utc, started_utc) >= $1 ORDER BY started_utc DESC, runs.number DESC",
        RecordJsonWriter.Moment(utc));

    /// <summary>Row numbers of one device's runs, oldest first.</summary>
    public static List<long> NumbersOf(SqliteConnection connection, DeviceIdentity device) => connection.Rows(
        row => row.GetInt64(0),
        $"SELECT number FROM runs WHERE {OfIdentity} ORDER BY started_utc, number",
        device.Manufacturer, device.Model, device.SerialNumber);

    public static string Find(SqliteConnection connection, string beginning)
    {
        // A range and not LIKE, so that the index on id is used and no character is a wildcard.
        List<string> found = connection.Rows(
            row => row.GetString(0),
            "SELECT id FROM runs WHERE id >= $1 AND id < $2 ORDER BY id LIMIT $3",
            beginning, $"{beginning}\uFFFF", MostNamed + 1);
        if (found.Contains(beginning))
            return beginning;
        return found.Count switch
        {
            0 => throw new RunStoreException($"there is no run whose id begins with '{beginning}'; 'runs list' shows those that there are"),
            1 => found[0],
            _ => throw new RunStoreException(
                $"several runs begin with '{beginning}': {string.Join(", ", found.Take(MostNamed))}{(found.Count > MostNamed ? ", …" : "")}; write more of the id"),
        };
    }

    private static RunSummary Summary(SqliteDataReader row)
    {
        DeviceDefinition device = StoredText.Parsed(row.GetString(3), RecordJsonReader.Device);
        return new RunSummary(
            row.GetString(0), StoredText.Moment(row.GetString(1)), row.GetString(2),
            device.Name, device.Manufacturer, device.Model, device.SerialNumber,
            row.GetString(4), row.GetBoolean(5),
            row.IsDBNull(6) ? RunOutcome.Incomplete : StoredText.Word<RunOutcome>(row.GetString(6)),
            row.GetInt32(7),
            row.IsDBNull(8) ? Conformity.NotDecided : StoredText.Word<Conformity>(row.GetString(8)),
            row.NumberOrNull(9))
        {
            Tag = device.Tag,
            Job = row.TextOrNull(10),
            Stage = row.IsDBNull(11) ? null : StoredText.Word<JobStage>(row.GetString(11)),
            OutcomeReason = row.TextOrNull(12) ?? string.Empty,
        };
    }
}
