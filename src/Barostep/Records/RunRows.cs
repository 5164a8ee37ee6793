using System.Globalization;
using System.Text;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Procedures;
using Barostep.Safety;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Turns runs into rows and rows into runs; transactions and locks are the store's.</summary>
internal static class RunRows
{
    private const string SummaryColumns = """
        SELECT runs.id, started_utc, bench, devices.definition, procedure_name, simulated, endings.outcome,
               (SELECT count(*) FROM points WHERE points.run = runs.number), results.verdict, results.largest_error_of_span
        FROM runs
        JOIN devices ON devices.id = runs.device
        LEFT JOIN endings ON endings.run = runs.number
        LEFT JOIN results ON results.run = runs.number
        """;

    public static long? NumberOf(SqliteConnection connection, string runId) =>
        connection.Number("SELECT number FROM runs WHERE id = $1", runId) is > 0 and long number ? number : null;

    public static void InsertRun(SqliteConnection connection, RunRecord header)
    {
        DeviceDefinition device = header.Device;
        string definition = Json(json => RecordJsonWriter.Device(json, device));
        connection.Execute(
            "INSERT INTO devices (manufacturer, model, serial_number, definition) VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING",
            device.Manufacturer, device.Model, device.SerialNumber, definition);
        connection.Execute(
            """
            INSERT INTO runs (id, started_utc, bench, device, procedure_name, procedure, instruments,
                ceiling_pa, atmosphere_pa, simulated, software_version)
            VALUES ($1, $2, $3, (SELECT id FROM devices WHERE definition = $4), $5, $6, $7, $8, $9, $10, $11)
            """,
            header.Id, RecordJsonWriter.Moment(header.StartedUtc), header.Bench, definition, header.Procedure.Name,
            Json(json => RecordJsonWriter.Procedure(json, header.Procedure)),
            Json(json => RecordJsonWriter.Instruments(json, header.Instruments)),
            header.CeilingPascals, header.AtmospherePascals, header.Simulated, header.SoftwareVersion);
    }

    public static void InsertZero(SqliteConnection connection, long run, ZeroRecord zero)
    {
        long id = connection.Number("INSERT INTO zeros (run, before_series) VALUES ($1, $2) RETURNING id", run, zero.BeforeSeries);
        foreach (Sample sample in zero.Samples)
            InsertSample(connection, null, id, sample);
    }

    public static void InsertPoint(SqliteConnection connection, long run, PointRecord point)
    {
        long id = connection.Number(
            """
            INSERT INTO points (run, point, cycle, direction, nominal_pa, requested_us, reached_us, settled_us, marks)
            VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) RETURNING id
            """,
            run, point.Index, point.Cycle, JsonWords.Of(point.Direction), point.NominalPascals,
            point.RequestedMicros, point.ReachedMicros, point.SettledMicros, (int)point.Marks);
        foreach (Sample sample in point.Samples)
            InsertSample(connection, id, null, sample);
    }

    public static void InsertEnding(SqliteConnection connection, long run, RunEnding ending) => connection.Execute(
        "INSERT INTO endings VALUES ($1, $2, $3, $4, $5, $6, $7)",
        run, RecordJsonWriter.Moment(ending.EndedUtc), JsonWords.Of(ending.Outcome), ending.OutcomeReason,
        ending.VentConfirmed, ending.HighestPascals, ending.JournalHead);

    public static void InsertResult(SqliteConnection connection, long run, RunResult result) => connection.Execute(
        "INSERT INTO results VALUES ($1, $2, $3, $4, $5)",
        run, JsonWords.Of(result.Conformity), result.LargestError?.Values?.ErrorOfSpan,
        result.Line?.ZeroErrorOfSpan, result.Line?.SpanErrorOfSpan);

    public static RunRecord Load(SqliteConnection connection, long run)
    {
        RunRecord header = connection.Rows(
            Header,
            """
            SELECT runs.id, started_utc, bench, devices.definition, procedure, instruments, simulated, software_version,
                   ceiling_pa, atmosphere_pa
            FROM runs JOIN devices ON devices.id = runs.device WHERE number = $1
            """,
            run)[0];
        RunEnding? ending = connection.Rows(
            Ending,
            """
            SELECT ended_utc, outcome, outcome_reason, vent_confirmed, highest_pa, journal_head
            FROM endings WHERE run = $1
            """,
            run).FirstOrDefault();
        RunRecord whole = header with { Zeros = Zeros(connection, run), Points = Points(connection, run) };
        return ending is null ? whole with { HighestPascals = HighestStored(whole) } : whole with
        {
            EndedUtc = ending.EndedUtc,
            Outcome = ending.Outcome,
            OutcomeReason = ending.OutcomeReason,
            VentConfirmed = ending.VentConfirmed,
            HighestPascals = ending.HighestPascals,
            JournalHead = ending.JournalHead,
        };
    }

    public static List<RunSummary> Page(SqliteConnection connection, int page, int pageSize) => connection.Rows(
        Summary,
        $"{SummaryColumns} ORDER BY started_utc DESC, number DESC LIMIT $1 OFFSET $2",
        pageSize, (page - 1L) * pageSize);

    public static List<RunSummary> OfDevice(SqliteConnection connection, string manufacturer, string model, string serialNumber) =>
        connection.Rows(
            Summary,
            $"{SummaryColumns} WHERE manufacturer = $1 AND model = $2 AND serial_number = $3 ORDER BY started_utc DESC, number DESC",
            manufacturer, model, serialNumber);

    private static void InsertSample(SqliteConnection connection, long? point, long? zero, Sample sample) => connection.Execute(
        """
        INSERT INTO samples (point, zero, reference, reference_raw, reference_asked_us, reference_answered_us,
            indication, indication_raw, indication_asked_us, indication_answered_us, void)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)
        """,
        point, zero,
        sample.Reference.Value, sample.Reference.Raw, sample.Reference.AskedMicros, sample.Reference.AnsweredMicros,
        sample.Indication.Value, sample.Indication.Raw, sample.Indication.AskedMicros, sample.Indication.AnsweredMicros,
        sample.Void);

    private static List<ZeroRecord> Zeros(SqliteConnection connection, long run) =>
    [
        .. connection
            .Rows(row => (Id: row.GetInt64(0), Before: row.GetBoolean(1)), "SELECT id, before_series FROM zeros WHERE run = $1 ORDER BY id", run)
            .Select(zero => new ZeroRecord(zero.Before, Samples(connection, "zero", zero.Id))),
    ];

    private static List<PointRecord> Points(SqliteConnection connection, long run) =>
    [
        .. connection
            .Rows(
                row => (Id: row.GetInt64(0), Point: Point(row)),
                """
                SELECT id, point, cycle, direction, nominal_pa, requested_us, reached_us, settled_us, marks
                FROM points WHERE run = $1 ORDER BY id
                """,
                run)
            .Select(read => read.Point with { Samples = Samples(connection, "point", read.Id) }),
    ];

    private static PointRecord Point(SqliteDataReader row) => new(
        row.GetInt32(1), row.GetInt32(2), Word<SeriesDirection>(row.GetString(3)), row.GetDouble(4),
        row.GetInt64(5), row.GetInt64(6), row.GetInt64(7), (PointMarks)row.GetInt32(8), []);

    private static List<Sample> Samples(SqliteConnection connection, string owner, long id) => connection.Rows(
        row => new Sample(
            new RawReading(row.GetDouble(0), row.GetString(1), row.GetInt64(2), row.GetInt64(3)),
            new RawReading(row.GetDouble(4), row.GetString(5), row.GetInt64(6), row.GetInt64(7)),
            row.GetBoolean(8)),
        $"""
        SELECT reference, reference_raw, reference_asked_us, reference_answered_us,
               indication, indication_raw, indication_asked_us, indication_answered_us, void
        FROM samples WHERE {owner} = $1 ORDER BY id
        """,
        id);

    private static RunRecord Header(SqliteDataReader row)
    {
        DateTimeOffset started = Moment(row.GetString(1));
        return new RunRecord
        {
            Id = row.GetString(0),
            StartedUtc = started,
            EndedUtc = started,
            Bench = row.GetString(2),
            Device = Parsed(row.GetString(3), RecordJsonReader.Device),
            Procedure = Parsed(row.GetString(4), RecordJsonReader.Procedure),
            Instruments = Parsed(row.GetString(5), RecordJsonReader.Instruments),
            Simulated = row.GetBoolean(6),
            SoftwareVersion = row.GetString(7),
            Outcome = RunOutcome.Incomplete,
            OutcomeReason = "no ending was written",
            VentConfirmed = false,
            CeilingPascals = row.GetDouble(8),
            HighestPascals = row.GetDouble(9),
            AtmospherePascals = row.GetDouble(9),
            JournalHead = string.Empty,
            Zeros = [],
            Points = [],
        };
    }

    // What any sensor told is known only at the end; without one, the highest reference reading that was stored stands.
    private static double HighestStored(RunRecord record)
    {
        double offset = record.Device.Reference == PressureReference.Gauge ? record.AtmospherePascals : 0;
        return record.Zeros.SelectMany(zero => zero.Samples)
            .Concat(record.Points.SelectMany(point => point.Samples))
            .Select(sample => sample.Reference.Value + offset)
            .Append(record.AtmospherePascals)
            .Max();
    }

    private static RunEnding Ending(SqliteDataReader row) => new(
        Moment(row.GetString(0)), Word<RunOutcome>(row.GetString(1)), row.GetString(2), row.GetBoolean(3),
        row.GetDouble(4), row.GetString(5));

    private static RunSummary Summary(SqliteDataReader row)
    {
        DeviceDefinition device = Parsed(row.GetString(3), RecordJsonReader.Device);
        return new RunSummary(
            row.GetString(0), Moment(row.GetString(1)), row.GetString(2),
            device.Name, device.Manufacturer, device.Model, device.SerialNumber,
            row.GetString(4), row.GetBoolean(5),
            row.IsDBNull(6) ? RunOutcome.Incomplete : Word<RunOutcome>(row.GetString(6)),
            row.GetInt32(7),
            row.IsDBNull(8) ? Conformity.NotDecided : Word<Conformity>(row.GetString(8)),
            row.IsDBNull(9) ? null : row.GetDouble(9));
    }

    private static string Json(Action<Utf8JsonWriter> write)
    {
        using MemoryStream bytes = new();
        using (Utf8JsonWriter json = new(bytes))
            write(json);
        return Encoding.UTF8.GetString(bytes.ToArray());
    }

    private static T Parsed<T>(string text, Func<JsonPlace, T> read)
    {
        using JsonDocument document = JsonDocument.Parse(text);
        return read(new JsonPlace(document.RootElement, string.Empty));
    }

    private static T Word<T>(string word)
        where T : struct, Enum
    {
        foreach (T value in Enum.GetValues<T>())
        {
            if (JsonWords.Of(value) == word)
                return value;
        }

        throw new RunStoreException($"the run store holds the word \"{word}\" where one of {string.Join(", ", Enum.GetValues<T>().Select(JsonWords.Of))} must be");
    }

    private static DateTimeOffset Moment(string text) =>
        DateTimeOffset.Parse(text, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal);
}
