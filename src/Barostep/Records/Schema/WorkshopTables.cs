namespace Barostep.Records.Schema;

/// <summary>Version 2: standards, jobs, leak tests, surroundings, due dates and certificates.</summary>
internal static class WorkshopTables
{
    public static readonly string Step = Tables + string.Concat(AppendOnly.Guards(
        ("standards", ["id"]), ("run_standards", ["run", "role"]), ("jobs", ["id"]), ("run_jobs", ["run"]), ("adjustments", ["id"]),
        ("leak_tests", ["run"]), ("identities", ["run", "role"]), ("environments", ["id"]), ("due_dates", ["id"]), ("certificates", ["sequence"]),
        ("certificate_runs", ["certificate", "run"]), ("documents", ["certificate", "format"])))
        + string.Concat(AppendOnly.NoReplacement(
            ("devices", ["id"]), ("devices", ["definition"]), ("standards", ["definition"]), ("jobs", ["definition"]), ("runs", ["number"]), ("runs", ["id"]), ("zeros", ["id"]), ("points", ["id"]), ("points", ["run", "point"]),
            ("samples", ["id"]), ("endings", ["run"]), ("results", ["run"]), ("certificates", ["number"]), ("certificates", ["replaces"]), ("documents", ["rowid"])));

    private const string Tables = """
        CREATE TABLE standards (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL,
            certificate_number TEXT NOT NULL,
            calibrated_on TEXT NOT NULL,
            due_on TEXT NOT NULL,
            definition TEXT NOT NULL UNIQUE
        ) STRICT;
        CREATE INDEX standards_by_name ON standards (name);

        CREATE TABLE run_standards (
            run INTEGER NOT NULL REFERENCES runs (number),
            role TEXT NOT NULL,
            standard INTEGER NOT NULL REFERENCES standards (id),
            overdue_allowed_by TEXT,
            overdue_reason TEXT,
            PRIMARY KEY (run, role),
            CHECK ((overdue_allowed_by IS NULL) = (overdue_reason IS NULL))
        ) STRICT, WITHOUT ROWID;

        CREATE TABLE jobs (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL,
            customer TEXT NOT NULL,
            order_number TEXT NOT NULL,
            definition TEXT NOT NULL UNIQUE
        ) STRICT;
        CREATE INDEX jobs_by_name ON jobs (name);

        CREATE TABLE run_jobs (
            run INTEGER PRIMARY KEY REFERENCES runs (number),
            job INTEGER NOT NULL REFERENCES jobs (id),
            stage TEXT NOT NULL CHECK (stage IN ('asFound', 'asLeft'))
        ) STRICT;
        CREATE INDEX run_jobs_by_job ON run_jobs (job);

        CREATE TABLE adjustments (
            id INTEGER PRIMARY KEY,
            job_name TEXT NOT NULL,
            adjusted_utc TEXT NOT NULL,
            adjusted_by TEXT NOT NULL,
            note TEXT NOT NULL
        ) STRICT;
        CREATE INDEX adjustments_by_job ON adjustments (job_name);

        CREATE TABLE leak_tests (
            run INTEGER PRIMARY KEY REFERENCES runs (number),
            pressure_pa REAL NOT NULL,
            hold_us INTEGER NOT NULL,
            rate_pa_per_s REAL NOT NULL,
            limit_pa_per_s REAL NOT NULL
        ) STRICT;

        CREATE TABLE identities (
            run INTEGER NOT NULL REFERENCES runs (number),
            role TEXT NOT NULL,
            identity TEXT NOT NULL,
            PRIMARY KEY (run, role)
        ) STRICT, WITHOUT ROWID;

        CREATE TABLE environments (
            id INTEGER PRIMARY KEY,
            run INTEGER NOT NULL REFERENCES runs (number),
            at_us INTEGER NOT NULL,
            temperature_c REAL,
            relative_humidity REAL,
            atmosphere_pa REAL,
            instrument TEXT NOT NULL
        ) STRICT;
        CREATE INDEX environments_by_run ON environments (run);

        CREATE TABLE due_dates (
            id INTEGER PRIMARY KEY,
            manufacturer TEXT NOT NULL,
            model TEXT NOT NULL,
            serial_number TEXT NOT NULL,
            due_on TEXT NOT NULL,
            set_utc TEXT NOT NULL,
            set_by TEXT NOT NULL,
            reason TEXT NOT NULL
        ) STRICT;
        CREATE INDEX due_dates_by_serial ON due_dates (serial_number, model, manufacturer);

        CREATE TABLE certificates (
            sequence INTEGER PRIMARY KEY,
            number TEXT NOT NULL UNIQUE,
            kind TEXT NOT NULL CHECK (kind IN ('calibrationCertificate', 'internalReport')),
            issued_utc TEXT NOT NULL,
            issued_by TEXT NOT NULL,
            reviewed_by TEXT,
            replaces INTEGER UNIQUE REFERENCES certificates (sequence),
            reason TEXT,
            CHECK ((replaces IS NULL) = (reason IS NULL))
        ) STRICT;

        CREATE TABLE certificate_runs (
            certificate INTEGER NOT NULL REFERENCES certificates (sequence),
            run INTEGER NOT NULL REFERENCES runs (number),
            PRIMARY KEY (certificate, run)
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX certificate_runs_by_run ON certificate_runs (run);

        CREATE TABLE documents (
            certificate INTEGER NOT NULL REFERENCES certificates (sequence),
            format TEXT NOT NULL CHECK (format IN ('inputs', 'pdf', 'xml')),
            sha256 TEXT NOT NULL,
            bytes BLOB NOT NULL,
            PRIMARY KEY (certificate, format)
        ) STRICT;

        DROP INDEX runs_by_device;
        CREATE INDEX runs_by_device_and_start ON runs (device, started_utc);

        CREATE TRIGGER certificates_without_gap BEFORE INSERT ON certificates
        WHEN NEW.sequence <> (SELECT coalesce(max(sequence), 0) + 1 FROM certificates)
        BEGIN SELECT RAISE(ABORT, 'certificate numbers have no gaps'); END;

        CREATE TRIGGER samples_before_end BEFORE INSERT ON samples
        WHEN EXISTS (SELECT 1 FROM points JOIN endings ON endings.run = points.run WHERE points.id = NEW.point)
            OR EXISTS (SELECT 1 FROM zeros JOIN endings ON endings.run = zeros.run WHERE zeros.id = NEW.zero)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
        CREATE TRIGGER leak_tests_before_end BEFORE INSERT ON leak_tests
        WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
        CREATE TRIGGER identities_before_end BEFORE INSERT ON identities
        WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
        CREATE TRIGGER environments_before_end BEFORE INSERT ON environments
        WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
        CREATE TRIGGER run_standards_before_end BEFORE INSERT ON run_standards
        WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
        CREATE TRIGGER run_jobs_before_end BEFORE INSERT ON run_jobs
        WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;

        """;
}
