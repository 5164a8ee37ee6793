using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Drift;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Turns runs into rows; transactions and locks are the store's.</summary>
internal static class RunRows
{
    public static long? NumberOf(SqliteConnection connection, string runId) =>
        connection.Number("SELECT number FROM runs WHERE id = $1", runId) is > 0 and long number ? number : null;

    public static void InsertRun(SqliteConnection connection, RunRecord header)
    {
        long run = connection.Number(
            """
            INSERT INTO runs (id, started_utc, bench, device, procedure_name, procedure, instruments,
                ceiling_pa, atmosphere_pa, simulated, software_version, performed_by, arrangement)
            VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13) RETURNING number
            """,
            header.Id, RecordJsonWriter.Moment(header.StartedUtc), header.Bench, DeviceNumber(connection, header.Device), header.Procedure.Name,
            StoredText.Json(json => RecordJsonWriter.Procedure(json, header.Procedure)),
            StoredText.Json(json => RecordJsonWriter.Instruments(json, header.Instruments)),
            header.CeilingPascals, header.AtmospherePascals, header.Simulated, header.SoftwareVersion,
            header.PerformedBy, StoredText.Json(json => ArrangementJson.Write(json, header.Arrangement)));
        foreach (EnvironmentReading reading in header.Environment)
            InsertEnvironment(connection, run, reading);
        foreach (StandardUse use in header.Standards)
            InsertStandard(connection, run, use);
        if (header.Job is { } job)
            InsertJob(connection, run, job);
    }

    public static void InsertZero(SqliteConnection connection, long run, ZeroRecord zero)
    {
        long id = connection.Number("INSERT INTO zeros (run, before_series) VALUES ($1, $2) RETURNING id", run, zero.BeforeSeries);
        InsertSamples(connection, null, id, zero.Samples);
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
        InsertSamples(connection, id, null, point.Samples);
        if (point.Settling is { } settling)
            connection.Execute("INSERT INTO settlings VALUES ($1, $2)", id, StoredText.Json(json => SettlingJson.Write(json, settling)));
    }

    public static void InsertAnswer(SqliteConnection connection, long run, AnswerRecord answer) => connection.Execute(
        """
        INSERT INTO answers (run, prompt, kind, point, asked, asked_us, answer, who, answered_us, reference_pa, indication_pa)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)
        """,
        run, answer.Prompt, JsonWords.Of(answer.Kind), answer.Point, answer.Asked, answer.AskedMicros, answer.Answer, answer.Who,
        answer.AnsweredMicros, answer.ReferencePascals, answer.IndicationPascals);

    public static void InsertLeakTest(SqliteConnection connection, long run, LeakTestRecord test) => connection.Execute(
        """
        INSERT INTO leak_tests (run, pressure_pa, hold_us, rate_pa_per_s, limit_pa_per_s, thermal_pa, thermal_s, rate_uncertainty)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
        """,
        run, test.PressurePascals, test.HoldMicros, test.RatePascalsPerSecond, test.LimitPascalsPerSecond,
        test.Thermal?.Pascals, test.Thermal?.TimeConstantSeconds, test.Thermal?.RateUncertainty);

    public static void InsertEnvironment(SqliteConnection connection, long run, EnvironmentReading reading) => connection.Execute(
        """
        INSERT INTO environments (run, at_us, temperature_c, relative_humidity, atmosphere_pa, instrument)
        VALUES ($1, $2, $3, $4, $5, $6)
        """,
        run, reading.AtMicros, reading.TemperatureCelsius, reading.RelativeHumidity, reading.AtmospherePascals, reading.Instrument);

    public static void InsertEnding(SqliteConnection connection, long run, RunEnding ending)
    {
        foreach ((string role, string identity) in ending.Instruments)
            connection.Execute("INSERT INTO identities VALUES ($1, $2, $3)", run, role, identity);
        connection.Execute(
            "INSERT INTO endings VALUES ($1, $2, $3, $4, $5, $6, $7)",
            run, RecordJsonWriter.Moment(ending.EndedUtc), JsonWords.Of(ending.Outcome), ending.OutcomeReason,
            ending.VentConfirmed, ending.HighestPascals, ending.JournalHead);
    }

    public static void InsertResult(SqliteConnection connection, long run, RunResult result)
    {
        connection.Execute(
            "INSERT INTO results VALUES ($1, $2, $3, $4, $5)",
            run, JsonWords.Of(result.Conformity), result.LargestError?.Values?.ErrorOfSpan,
            result.Line?.ZeroErrorOfSpan, result.Line?.SpanErrorOfSpan);
        InsertPointResults(connection, run, RunErrors.Of(result));
    }

    private static void InsertPointResults(SqliteConnection connection, long run, RunErrors errors)
    {
        using SqliteCommand insert = connection.Statement("INSERT INTO point_results VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)", new object?[9]);
        foreach (PointError point in errors.Points)
        {
            insert.Bind(
                run, point.Index, point.Cycle, JsonWords.Of(point.Direction), point.NominalPascals, point.ErrorOfSpan,
                point.ExpandedUncertaintyOfSpan, point.CoverageFactor, point.ScatterOfSpan);
            insert.ExecuteNonQuery();
        }
    }

    private static long DeviceNumber(SqliteConnection connection, DeviceDefinition device)
    {
        string definition = StoredText.Json(json => RecordJsonWriter.Device(json, device));
        return Known(connection, "SELECT id FROM devices WHERE definition = $1", definition) ?? connection.Number(
            "INSERT INTO devices (manufacturer, model, serial_number, definition) VALUES ($1, $2, $3, $4) RETURNING id",
            device.Manufacturer, device.Model, device.SerialNumber, definition);
    }

    private static void InsertStandard(SqliteConnection connection, long run, StandardUse use)
    {
        ReferenceStandard standard = use.Standard;
        string definition = StoredText.Json(json => StandardJson.Write(json, standard));
        long id = Known(connection, "SELECT id FROM standards WHERE definition = $1", definition) ?? connection.Number(
            """
            INSERT INTO standards (name, certificate_number, calibrated_on, due_on, definition)
            VALUES ($1, $2, $3, $4, $5) RETURNING id
            """,
            standard.Name, standard.CertificateNumber, RecordJsonWriter.Day(standard.CalibratedOn), RecordJsonWriter.Day(standard.DueOn), definition);
        connection.Execute(
            "INSERT INTO run_standards VALUES ($1, $2, $3, $4, $5)", run, use.Role, id, use.Allowance?.By, use.Allowance?.Reason);
    }

    private static void InsertJob(SqliteConnection connection, long run, JobUse use)
    {
        JobDefinition job = use.Job;
        string definition = StoredText.Json(json => JobJson.Write(json, job));
        long id = Known(connection, "SELECT id FROM jobs WHERE definition = $1", definition) ?? connection.Number(
            "INSERT INTO jobs (name, customer, order_number, definition) VALUES ($1, $2, $3, $4) RETURNING id",
            job.Name, job.Customer, job.Order, definition);
        connection.Execute("INSERT INTO run_jobs VALUES ($1, $2, $3)", run, id, JsonWords.Of(use.Stage));
    }

    private static long? Known(SqliteConnection connection, string sql, string definition) =>
        connection.Number(sql, definition) is > 0 and long id ? id : null;

    private static void InsertSamples(SqliteConnection connection, long? point, long? zero, IReadOnlyList<Sample> samples)
    {
        using SqliteCommand insert = connection.Statement(
            """
            INSERT INTO samples (point, zero, reference, reference_raw, reference_asked_us, reference_answered_us,
                indication, indication_raw, indication_asked_us, indication_answered_us, void)
            VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)
            """,
            new object?[11]);
        foreach (Sample sample in samples)
        {
            insert.Bind(
                point, zero,
                sample.Reference.Value, sample.Reference.Raw, sample.Reference.AskedMicros, sample.Reference.AnsweredMicros,
                sample.Indication.Value, sample.Indication.Raw, sample.Indication.AskedMicros, sample.Indication.AnsweredMicros,
                sample.Void);
            insert.ExecuteNonQuery();
        }
    }
}
