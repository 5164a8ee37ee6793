namespace Barostep.Records.Schema;

/// <summary>Version 1: devices, runs, what was read, how they ended.</summary>
internal static class RunTables
{
    public const string Step = """
        CREATE TABLE devices (
            id INTEGER PRIMARY KEY,
            manufacturer TEXT NOT NULL,
            model TEXT NOT NULL,
            serial_number TEXT NOT NULL,
            definition TEXT NOT NULL UNIQUE
        ) STRICT;
        CREATE INDEX devices_by_serial ON devices (serial_number, model, manufacturer);

        CREATE TABLE runs (
            number INTEGER PRIMARY KEY,
            id TEXT NOT NULL UNIQUE,
            started_utc TEXT NOT NULL,
            bench TEXT NOT NULL,
            device INTEGER NOT NULL REFERENCES devices (id),
            procedure_name TEXT NOT NULL,
            procedure TEXT NOT NULL,
            instruments TEXT NOT NULL,
            ceiling_pa REAL NOT NULL,
            atmosphere_pa REAL NOT NULL,
            simulated INTEGER NOT NULL CHECK (simulated IN (0, 1)),
            software_version TEXT NOT NULL
        ) STRICT;
        CREATE INDEX runs_by_start ON runs (started_utc);
        CREATE INDEX runs_by_device ON runs (device);

        CREATE TABLE zeros (
            id INTEGER PRIMARY KEY,
            run INTEGER NOT NULL REFERENCES runs (number),
            before_series INTEGER NOT NULL CHECK (before_series IN (0, 1))
        ) STRICT;
        CREATE INDEX zeros_by_run ON zeros (run);

        CREATE TABLE points (
            id INTEGER PRIMARY KEY,
            run INTEGER NOT NULL REFERENCES runs (number),
            point INTEGER NOT NULL,
            cycle INTEGER NOT NULL,
            direction TEXT NOT NULL CHECK (direction IN ('ascending', 'descending')),
            nominal_pa REAL NOT NULL,
            requested_us INTEGER NOT NULL,
            reached_us INTEGER NOT NULL,
            settled_us INTEGER NOT NULL,
            marks INTEGER NOT NULL,
            UNIQUE (run, point)
        ) STRICT;

        CREATE TABLE samples (
            id INTEGER PRIMARY KEY,
            point INTEGER REFERENCES points (id),
            zero INTEGER REFERENCES zeros (id),
            reference REAL NOT NULL,
            reference_raw TEXT NOT NULL,
            reference_asked_us INTEGER NOT NULL,
            reference_answered_us INTEGER NOT NULL,
            indication REAL NOT NULL,
            indication_raw TEXT NOT NULL,
            indication_asked_us INTEGER NOT NULL,
            indication_answered_us INTEGER NOT NULL,
            void INTEGER NOT NULL CHECK (void IN (0, 1)),
            CHECK ((point IS NULL) <> (zero IS NULL))
        ) STRICT;
        CREATE INDEX samples_by_point ON samples (point) WHERE point IS NOT NULL;
        CREATE INDEX samples_by_zero ON samples (zero) WHERE zero IS NOT NULL;

        CREATE TABLE endings (
            run INTEGER PRIMARY KEY REFERENCES runs (number),
            ended_utc TEXT NOT NULL,
            outcome TEXT NOT NULL,
            outcome_reason TEXT NOT NULL,
            vent_confirmed INTEGER NOT NULL CHECK (vent_confirmed IN (0, 1)),
            highest_pa REAL NOT NULL,
            journal_head TEXT NOT NULL
        ) STRICT;

        CREATE TABLE results (
            run INTEGER PRIMARY KEY REFERENCES endings (run),
            verdict TEXT NOT NULL CHECK (verdict IN ('passed', 'failed', 'notDecided')),
            largest_error_of_span REAL,
            zero_error_of_span REAL,
            span_error_of_span REAL
        ) STRICT;

        CREATE TRIGGER devices_stay BEFORE UPDATE ON devices BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
        CREATE TRIGGER devices_keep BEFORE DELETE ON devices BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
        CREATE TRIGGER runs_stay BEFORE UPDATE ON runs BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
        CREATE TRIGGER runs_keep BEFORE DELETE ON runs BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
        CREATE TRIGGER zeros_stay BEFORE UPDATE ON zeros BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
        CREATE TRIGGER zeros_keep BEFORE DELETE ON zeros BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
        CREATE TRIGGER points_stay BEFORE UPDATE ON points BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
        CREATE TRIGGER points_keep BEFORE DELETE ON points BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
        CREATE TRIGGER samples_stay BEFORE UPDATE ON samples BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
        CREATE TRIGGER samples_keep BEFORE DELETE ON samples BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
        CREATE TRIGGER endings_stay BEFORE UPDATE ON endings BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
        CREATE TRIGGER endings_keep BEFORE DELETE ON endings BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
        CREATE TRIGGER results_stay BEFORE UPDATE ON results BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
        CREATE TRIGGER results_keep BEFORE DELETE ON results BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;

        CREATE TRIGGER points_before_end BEFORE INSERT ON points
        WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
        CREATE TRIGGER zeros_before_end BEFORE INSERT ON zeros
        WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
        """;
}
