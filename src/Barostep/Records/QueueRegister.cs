using Barostep.Unattended;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Runs that wait for their turn, and what became of them.</summary>
public sealed class QueueRegister
{
    /// <summary>What happened last holds; nothing happened to what waits.</summary>
    private const string Runs = """
        SELECT queued_runs.id, bench, device, procedure, not_before_utc, on_failure, added_by, added_utc, newest.state, newest.run, newest.note
        FROM queued_runs
        LEFT JOIN queue_events AS newest ON newest.id = (SELECT max(id) FROM queue_events WHERE queued_run = queued_runs.id)
        """;

    private readonly StoreFile _file;

    internal QueueRegister(StoreFile file) => _file = file;

    /// <summary>Adds a run at the end.</summary>
    public QueuedRun Add(QueueWish wish, string addedBy, DateTimeOffset nowUtc) => _file.Write("the queued run", connection =>
    {
        long id = connection.Number(
            """
            INSERT INTO queued_runs (added_utc, added_by, bench, device, procedure, not_before_utc, on_failure)
            VALUES ($1, $2, $3, $4, $5, $6, $7) RETURNING id
            """,
            RecordJsonWriter.Moment(nowUtc), addedBy, wish.Bench, wish.Device, wish.Procedure,
            wish.NotBeforeUtc is { } from ? RecordJsonWriter.Moment(from) : null, JsonWords.Of(wish.OnFailure));
        return Load(connection, id)!;
    });

    /// <summary>What waits or is run, in order.</summary>
    public IReadOnlyList<QueuedRun> Open() => _file.Read(connection =>
        connection.Rows(Row, $"{Runs} WHERE newest.state IS NULL OR newest.state = 'running' ORDER BY queued_runs.id"));

    /// <summary>What is over, newest first.</summary>
    public IReadOnlyList<QueuedRun> Over(int most) => _file.Read(connection =>
        connection.Rows(Row, $"{Runs} WHERE newest.state <> 'running' ORDER BY newest.id DESC LIMIT $1", most));

    /// <summary>Notes where a queued run stands now.</summary>
    /// <param name="runId">Of the record, where there is one.</param>
    /// <param name="who">Where a person did it.</param>
    /// <param name="note">Why, where there is something to say.</param>
    /// <exception cref="RunStoreException">There is no such run, or it does not stand where this could follow.</exception>
    public void Mark(long id, QueueState state, DateTimeOffset nowUtc, string? runId = null, string? who = null, string note = "") =>
        _file.Write($"queued run {id}", connection =>
        {
            QueuedRun run = Load(connection, id) ?? throw new RunStoreException($"there is no queued run {id}; 'queue list' shows those that there are");
            bool follows = state switch
            {
                QueueState.Running => run.State is QueueState.Waiting or QueueState.Running,
                QueueState.Removed => run.State == QueueState.Waiting,
                QueueState.Ended or QueueState.Refused or QueueState.Interrupted => run.State == QueueState.Running,
                QueueState.Waiting => false,
                _ => throw new ArgumentOutOfRangeException(nameof(state), state, "unknown state"),
            };
            if (!follows)
                throw new RunStoreException($"queued run {id} is {JsonWords.Of(run.State)} and cannot become {JsonWords.Of(state)}");
            connection.Execute(
                "INSERT INTO queue_events (queued_run, at_utc, state, run, who, note) VALUES ($1, $2, $3, $4, $5, $6)",
                id, RecordJsonWriter.Moment(nowUtc), JsonWords.Of(state), runId ?? run.RunId, who, note);
        });

    private static QueuedRun? Load(SqliteConnection connection, long id) =>
        connection.Rows(Row, $"{Runs} WHERE queued_runs.id = $1", id).FirstOrDefault();

    private static QueuedRun Row(SqliteDataReader row) => new(
        row.GetInt64(0),
        new QueueWish(
            row.GetString(1), row.GetString(2), row.GetString(3),
            row.IsDBNull(4) ? null : StoredText.Moment(row.GetString(4)), StoredText.Word<OnFailure>(row.GetString(5))),
        row.GetString(6),
        StoredText.Moment(row.GetString(7)),
        row.IsDBNull(8) ? QueueState.Waiting : StoredText.Word<QueueState>(row.GetString(8)),
        row.TextOrNull(9),
        row.TextOrNull(10) ?? string.Empty);
}
