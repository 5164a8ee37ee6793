namespace Barostep.Records;

/// <summary>Something that was asked of the daemon.</summary>
/// <param name="Who">The name given; null where stopping was asked for without one.</param>
/// <param name="Proved">Whether a token stands behind the name.</param>
/// <param name="Address">Where it came from.</param>
/// <param name="Asked">The request's method and path.</param>
/// <param name="Status">Of the answer, as HTTP counts.</param>
public sealed record ActionRecord(DateTimeOffset AtUtc, string? Who, bool Proved, string Address, string Asked, int Status);

/// <summary>Who asked for what over the years. What moved pressure is in the guard's journal too.</summary>
public sealed class ActionRegister
{
    private readonly StoreFile _file;

    internal ActionRegister(StoreFile file) => _file = file;

    /// <exception cref="RunStoreException">They could not be written.</exception>
    public void Add(IReadOnlyList<ActionRecord> actions) => _file.Write("what was asked of the daemon", connection =>
    {
        foreach (ActionRecord action in actions)
        {
            connection.Execute(
                "INSERT INTO actions (at_utc, who, proved, address, asked, status) VALUES ($1, $2, $3, $4, $5, $6)",
                RecordJsonWriter.Moment(action.AtUtc), action.Who, action.Proved, action.Address, action.Asked, action.Status);
        }
    });

    /// <summary>The newest first.</summary>
    public IReadOnlyList<ActionRecord> Newest(int most) => _file.Read(connection => connection.Rows(
        row => new ActionRecord(
            StoredText.Moment(row.GetString(0)), row.TextOrNull(1), row.GetBoolean(2), row.GetString(3), row.GetString(4), row.GetInt32(5)),
        "SELECT at_utc, who, proved, address, asked, status FROM actions ORDER BY id DESC LIMIT $1",
        most));
}
