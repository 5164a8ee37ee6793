using System.Text.Json;
using Barostep.Unattended;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>What became of one try to tell somebody.</summary>
public enum DeliveryOutcome
{
    Delivered,

    /// <summary>It will be tried again.</summary>
    Failed,
    GivenUp,
}

/// <summary>What people are told, kept until it has reached them: an outbox that survives a restart.</summary>
public sealed class NoticeRegister
{
    private readonly StoreFile _file;

    internal NoticeRegister(StoreFile file) => _file = file;

    public KeptNotice Add(Notice notice) => _file.Write("the notice", connection => new KeptNotice(
        connection.Number(
            "INSERT INTO notices (at_utc, kind, body) VALUES ($1, $2, $3) RETURNING id",
            RecordJsonWriter.Moment(notice.AtUtc), JsonWords.Of(notice.Kind), StoredText.Json(json => Write(json, notice))),
        notice));

    /// <summary>What a channel has neither delivered nor given up, oldest first.</summary>
    /// <param name="sinceUtc">What is older has lost its sense, and is left out.</param>
    public IReadOnlyList<KeptNotice> Undelivered(string channel, DateTimeOffset sinceUtc) => _file.Read(connection => connection.Rows(
        Row,
        """
        SELECT id, at_utc, kind, body FROM notices
        WHERE at_utc >= $2 AND NOT EXISTS (
            SELECT 1 FROM deliveries WHERE deliveries.notice = notices.id AND channel = $1 AND outcome IN ('delivered', 'givenUp'))
        ORDER BY id
        """,
        channel, RecordJsonWriter.Moment(sinceUtc)));

    /// <summary>Notes a try.</summary>
    public void Tried(long notice, string channel, DateTimeOffset atUtc, DeliveryOutcome outcome, string note) =>
        _file.Write("the delivery", connection => connection.Execute(
            "INSERT INTO deliveries (notice, channel, at_utc, outcome, note) VALUES ($1, $2, $3, $4, $5)",
            notice, channel, RecordJsonWriter.Moment(atUtc), JsonWords.Of(outcome), note));

    /// <summary>Every try to tell of one notice, in order.</summary>
    public IReadOnlyList<(string Channel, DeliveryOutcome Outcome, string Note)> TriesOf(long notice) => _file.Read(connection => connection.Rows(
        row => (row.GetString(0), StoredText.Word<DeliveryOutcome>(row.GetString(1)), row.GetString(2)),
        "SELECT channel, outcome, note FROM deliveries WHERE notice = $1 ORDER BY id",
        notice));

    /// <summary>The newest notice of a kind; null before the first.</summary>
    public KeptNotice? Newest(NoticeKind kind) => _file.Read(connection => connection.Rows(
        Row, "SELECT id, at_utc, kind, body FROM notices WHERE kind = $1 ORDER BY id DESC LIMIT 1", JsonWords.Of(kind)).FirstOrDefault());

    private static void Write(Utf8JsonWriter json, Notice notice)
    {
        json.WriteStartObject();
        json.WriteString("title", notice.Title);
        json.WriteString("text", notice.Text);
        json.WriteString("bench", notice.Bench);
        json.WriteString("run", notice.Run);
        json.WriteEndObject();
    }

    private static KeptNotice Row(SqliteDataReader row)
    {
        using JsonDocument body = JsonDocument.Parse(row.GetString(3));
        return new KeptNotice(row.GetInt64(0), new Notice(
            StoredText.Word<NoticeKind>(row.GetString(2)),
            StoredText.Moment(row.GetString(1)),
            body.RootElement.GetProperty("title").GetString()!,
            body.RootElement.GetProperty("text").GetString()!,
            body.RootElement.GetProperty("bench").GetString(),
            body.RootElement.GetProperty("run").GetString()));
    }
}
