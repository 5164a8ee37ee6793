namespace Barostep.Records.Schema;

/// <summary>Version 4: why each point was read when it was, and the part of a leak test that was the gas cooling.</summary>
internal static class SettlingTables
{
    public static readonly string Step = """
        CREATE TABLE settlings (
            point INTEGER PRIMARY KEY REFERENCES points (id),
            decision TEXT NOT NULL
        ) STRICT;

        ALTER TABLE leak_tests ADD COLUMN thermal_pa REAL;
        ALTER TABLE leak_tests ADD COLUMN thermal_s REAL;
        ALTER TABLE leak_tests ADD COLUMN rate_uncertainty REAL;

        CREATE TRIGGER settlings_before_end BEFORE INSERT ON settlings
        WHEN EXISTS (SELECT 1 FROM points JOIN endings ON endings.run = points.run WHERE points.id = NEW.point)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;

        """ + string.Concat(AppendOnly.Guards(("settlings", ["point"])));
}
