namespace Barostep.Records.Schema;

/// <summary>Version 5: who asked for what, the queue of runs, and what people are told of it.</summary>
internal static class UnattendedTables
{
    public static readonly string Step = Tables + string.Concat(AppendOnly.Guards(
        ("actions", ["id"]), ("queued_runs", ["id"]), ("queue_events", ["id"]), ("notices", ["id"]), ("deliveries", ["id"])));

    private const string Tables = """
        CREATE TABLE actions (
            id INTEGER PRIMARY KEY,
            at_utc TEXT NOT NULL,
            who TEXT,
            proved INTEGER NOT NULL CHECK (proved IN (0, 1)),
            address TEXT NOT NULL,
            asked TEXT NOT NULL,
            status INTEGER NOT NULL
        ) STRICT;

        CREATE TABLE queued_runs (
            id INTEGER PRIMARY KEY,
            added_utc TEXT NOT NULL,
            added_by TEXT NOT NULL,
            bench TEXT NOT NULL,
            device TEXT NOT NULL,
            procedure TEXT NOT NULL,
            not_before_utc TEXT,
            on_failure TEXT NOT NULL CHECK (on_failure IN ('stop', 'goOn'))
        ) STRICT;

        CREATE TABLE queue_events (
            id INTEGER PRIMARY KEY,
            queued_run INTEGER NOT NULL REFERENCES queued_runs (id),
            at_utc TEXT NOT NULL,
            state TEXT NOT NULL CHECK (state IN ('running', 'ended', 'refused', 'interrupted', 'removed')),
            run TEXT,
            who TEXT,
            note TEXT NOT NULL
        ) STRICT;
        CREATE INDEX queue_events_by_run ON queue_events (queued_run);

        CREATE TABLE notices (
            id INTEGER PRIMARY KEY,
            at_utc TEXT NOT NULL,
            kind TEXT NOT NULL,
            body TEXT NOT NULL
        ) STRICT;

        CREATE TABLE deliveries (
            id INTEGER PRIMARY KEY,
            notice INTEGER NOT NULL REFERENCES notices (id),
            channel TEXT NOT NULL,
            at_utc TEXT NOT NULL,
            outcome TEXT NOT NULL CHECK (outcome IN ('delivered', 'failed', 'givenUp')),
            note TEXT NOT NULL
        ) STRICT;
        CREATE INDEX deliveries_by_notice ON deliveries (notice);

        CREATE TRIGGER queue_events_before_end BEFORE INSERT ON queue_events
        WHEN EXISTS (SELECT 1 FROM queue_events WHERE queued_run = NEW.queued_run AND state <> 'running')
        BEGIN SELECT RAISE(ABORT, 'the queued run is over'); END;

        """;
}
