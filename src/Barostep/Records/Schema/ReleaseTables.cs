namespace Barostep.Records.Schema;

/// <summary>Version 3: who made a run and how its instruments were connected, the errors of its points, certificates signed off.</summary>
internal static class ReleaseTables
{
    public static readonly string Step = Tables + string.Concat(AppendOnly.Guards(
        ("point_results", ["run", "point"]), ("sign_offs", ["certificate"]), ("signed_documents", ["certificate", "format"])));

    private const string Tables = """
        ALTER TABLE runs ADD COLUMN performed_by TEXT;
        ALTER TABLE runs ADD COLUMN arrangement TEXT;

        CREATE TABLE point_results (
            run INTEGER NOT NULL REFERENCES endings (run),
            point INTEGER NOT NULL,
            cycle INTEGER NOT NULL,
            direction TEXT NOT NULL,
            nominal_pa REAL NOT NULL,
            error_of_span REAL NOT NULL,
            expanded_of_span REAL,
            coverage_factor REAL,
            scatter_of_span REAL,
            PRIMARY KEY (run, point)
        ) STRICT, WITHOUT ROWID;

        CREATE TABLE sign_offs (
            certificate INTEGER PRIMARY KEY REFERENCES certificates (sequence),
            signed_utc TEXT NOT NULL,
            signed_by TEXT NOT NULL,
            function TEXT NOT NULL
        ) STRICT;

        CREATE TABLE signed_documents (
            certificate INTEGER NOT NULL REFERENCES sign_offs (certificate),
            format TEXT NOT NULL CHECK (format IN ('inputs', 'pdf', 'xml')),
            sha256 TEXT NOT NULL,
            bytes BLOB NOT NULL,
            PRIMARY KEY (certificate, format)
        ) STRICT;

        """;
}
