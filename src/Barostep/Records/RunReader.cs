using Barostep.Configuration;
using Barostep.Procedures.Prompts;
using Barostep.Safety;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Turns rows into runs, with a fixed number of statements however many points a run has.</summary>
internal static class RunReader
{
    private const string SampleColumns = """
        samples.reference, samples.reference_raw, samples.reference_asked_us, samples.reference_answered_us,
        samples.indication, samples.indication_raw, samples.indication_asked_us, samples.indication_answered_us, samples.void
        """;

    public static RunRecord Load(SqliteConnection connection, long run)
    {
        RunRecord header = connection.Rows(
            Header,
            """
            SELECT runs.id, started_utc, bench, devices.definition, procedure, instruments, simulated, software_version,
                   ceiling_pa, atmosphere_pa, performed_by, arrangement
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
        RunRecord whole = header with
        {
            Instruments = Instruments(connection, run, header.Instruments),
            LeakTest = LeakTest(connection, run),
            Standards = Standards(connection, run),
            Job = Job(connection, run),
            Environment = Environment(connection, run),
            Zeros = Zeros(connection, run),
            Points = Points(connection, run),
            Answers = Answers(connection, run),
        };
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

    // A run begins before its instruments have told who they are.
    private static Dictionary<string, string> Instruments(SqliteConnection connection, long run, IReadOnlyDictionary<string, string> atStart)
    {
        var told = new Dictionary<string, string>(atStart, StringComparer.Ordinal);
        foreach ((string role, string identity) in connection.Rows(
            row => (row.GetString(0), row.GetString(1)), "SELECT role, identity FROM identities WHERE run = $1", run))
        {
            told[role] = identity;
        }

        return told;
    }

    private static LeakTestRecord? LeakTest(SqliteConnection connection, long run) => connection.Rows(
        row => new LeakTestRecord(row.GetDouble(0), row.GetInt64(1), row.GetDouble(2), row.GetDouble(3))
        {
            Thermal = row.IsDBNull(4) ? null : new ThermalPart(row.GetDouble(4), row.GetDouble(5), row.GetDouble(6)),
        },
        "SELECT pressure_pa, hold_us, rate_pa_per_s, limit_pa_per_s, thermal_pa, thermal_s, rate_uncertainty FROM leak_tests WHERE run = $1",
        run).FirstOrDefault();

    private static List<StandardUse> Standards(SqliteConnection connection, long run) => connection.Rows(
        row => new StandardUse(
            row.GetString(0),
            StoredText.Parsed(row.GetString(1), StandardJson.Read),
            row.IsDBNull(2) ? null : new OverdueAllowance(row.GetString(2), row.GetString(3))),
        """
        SELECT role, standards.definition, overdue_allowed_by, overdue_reason
        FROM run_standards JOIN standards ON standards.id = run_standards.standard
        WHERE run = $1 ORDER BY role = 'reference' DESC, role
        """,
        run);

    private static JobUse? Job(SqliteConnection connection, long run) => connection.Rows(
        row => new JobUse(StoredText.Parsed(row.GetString(0), JobJson.Read), StoredText.Word<JobStage>(row.GetString(1))),
        "SELECT jobs.definition, stage FROM run_jobs JOIN jobs ON jobs.id = run_jobs.job WHERE run = $1",
        run).FirstOrDefault();

    private static List<EnvironmentReading> Environment(SqliteConnection connection, long run) => connection.Rows(
        row => new EnvironmentReading(row.GetInt64(0), row.NumberOrNull(1), row.NumberOrNull(2), row.NumberOrNull(3), row.GetString(4)),
        """
        SELECT at_us, temperature_c, relative_humidity, atmosphere_pa, instrument
        FROM environments WHERE run = $1 ORDER BY id
        """,
        run);

    private static List<ZeroRecord> Zeros(SqliteConnection connection, long run)
    {
        ILookup<long, Sample> samples = Samples(
            connection,
            $"SELECT zeros.id, {SampleColumns} FROM zeros JOIN samples ON samples.zero = zeros.id WHERE zeros.run = $1 ORDER BY samples.id",
            run);
        return connection.Rows(
            row => new ZeroRecord(row.GetBoolean(1), [.. samples[row.GetInt64(0)]]),
            "SELECT id, before_series FROM zeros WHERE run = $1 ORDER BY id",
            run);
    }

    private static List<PointRecord> Points(SqliteConnection connection, long run)
    {
        ILookup<long, Sample> samples = Samples(
            connection,
            $"SELECT points.id, {SampleColumns} FROM points JOIN samples ON samples.point = points.id WHERE points.run = $1 ORDER BY samples.id",
            run);
        return connection.Rows(
            row => new PointRecord(
                row.GetInt32(1), row.GetInt32(2), StoredText.Word<SeriesDirection>(row.GetString(3)), row.GetDouble(4),
                row.GetInt64(5), row.GetInt64(6), row.GetInt64(7), (PointMarks)row.GetInt32(8), [.. samples[row.GetInt64(0)]])
            {
                Settling = row.IsDBNull(9) ? null : StoredText.Parsed(row.GetString(9), SettlingJson.Read),
            },
            """
            SELECT id, points.point, cycle, direction, nominal_pa, requested_us, reached_us, settled_us, marks, decision
            FROM points LEFT JOIN settlings ON settlings.point = points.id WHERE run = $1 ORDER BY id
            """,
            run);
    }

    private static List<AnswerRecord> Answers(SqliteConnection connection, long run) => connection.Rows(
        row => new AnswerRecord(
            row.GetInt32(0), StoredText.Word<PromptKind>(row.GetString(1)), row.GetInt32(2), row.GetString(3), row.GetInt64(4),
            row.GetString(5), row.GetString(6), row.GetInt64(7))
        {
            ReferencePascals = row.NumberOrNull(8),
            IndicationPascals = row.NumberOrNull(9),
        },
        """
        SELECT prompt, kind, point, asked, asked_us, answer, who, answered_us, reference_pa, indication_pa
        FROM answers WHERE run = $1 ORDER BY id
        """,
        run);

    private static ILookup<long, Sample> Samples(SqliteConnection connection, string sql, long run) => connection.Rows(
        row => (Owner: row.GetInt64(0), Sample: new Sample(
            new RawReading(row.GetDouble(1), row.GetString(2), row.GetInt64(3), row.GetInt64(4)),
            new RawReading(row.GetDouble(5), row.GetString(6), row.GetInt64(7), row.GetInt64(8)),
            row.GetBoolean(9))),
        sql,
        run).ToLookup(read => read.Owner, read => read.Sample);

    private static RunRecord Header(SqliteDataReader row)
    {
        DateTimeOffset started = StoredText.Moment(row.GetString(1));
        return new RunRecord
        {
            Id = row.GetString(0),
            StartedUtc = started,
            EndedUtc = started,
            Bench = row.GetString(2),
            Device = StoredText.Parsed(row.GetString(3), RecordJsonReader.Device),
            Procedure = StoredText.Parsed(row.GetString(4), RecordJsonReader.Procedure),
            Instruments = StoredText.Parsed(row.GetString(5), RecordJsonReader.Instruments),
            Simulated = row.GetBoolean(6),
            SoftwareVersion = row.GetString(7),
            Outcome = RunOutcome.Incomplete,
            OutcomeReason = "no ending was written",
            VentConfirmed = false,
            CeilingPascals = row.GetDouble(8),
            HighestPascals = row.GetDouble(9),
            AtmospherePascals = row.GetDouble(9),
            JournalHead = string.Empty,
            PerformedBy = row.TextOrNull(10) ?? string.Empty,
            Arrangement = row.IsDBNull(11) ? MeasuringArrangement.Unknown : StoredText.Parsed(row.GetString(11), ArrangementJson.Read),
            Zeros = [],
            Points = [],
        };
    }

    private static RunEnding Ending(SqliteDataReader row) => new(
        StoredText.Moment(row.GetString(0)), StoredText.Word<RunOutcome>(row.GetString(1)), row.GetString(2), row.GetBoolean(3),
        row.GetDouble(4), row.GetString(5));

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
}
