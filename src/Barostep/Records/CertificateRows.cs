using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Turns certificates into rows and back.</summary>
internal static class CertificateRows
{
    public static long Next(SqliteConnection connection) =>
        connection.Number("SELECT coalesce(max(sequence), 0) + 1 FROM certificates");

    public static void Insert(
        SqliteConnection connection, CertificateOrder order, long sequence, string number, IReadOnlyList<CertificateDocument> documents)
    {
        connection.Execute(
            """
            INSERT INTO certificates (sequence, number, kind, issued_utc, issued_by, reviewed_by, replaces, reason)
            VALUES ($1, $2, $3, $4, $5, $6, (SELECT sequence FROM certificates WHERE number = $7), $8)
            """,
            sequence, number, JsonWords.Of(order.Kind), RecordJsonWriter.Moment(order.IssuedUtc), order.IssuedBy, order.ReviewedBy,
            order.Amends?.Number, order.Amends?.Reason);
        foreach (string id in order.RunIds)
            connection.Execute("INSERT INTO certificate_runs SELECT $1, number FROM runs WHERE id = $2", sequence, id);
        InsertDocuments(connection, "documents", sequence, documents);
    }

    private static void InsertDocuments(SqliteConnection connection, string table, long sequence, IReadOnlyList<CertificateDocument> documents)
    {
        foreach (CertificateDocument document in documents)
        {
            connection.Execute(
                $"INSERT INTO {table} (certificate, format, sha256, bytes) VALUES ($1, $2, $3, $4)",
                sequence, JsonWords.Of(document.Format), CertificateRegister.HashOf(document.Bytes.Span), document.Bytes.ToArray());
        }
    }

    public static IssuedCertificate? Load(SqliteConnection connection, string number) => connection.Rows(
        row =>
        {
            long sequence = row.GetInt64(0);
            return new IssuedCertificate(
                number,
                sequence,
                StoredText.Word<CertificateKind>(row.GetString(1)),
                Runs(connection, sequence),
                StoredText.Moment(row.GetString(2)),
                row.GetString(3),
                row.TextOrNull(4),
                row.IsDBNull(5) ? null : new ReplacedCertificate(row.GetString(5), row.GetString(6)),
                row.TextOrNull(7),
                Documents(connection, sequence, signed: !row.IsDBNull(8)),
                row.IsDBNull(8) ? null : new SignOff(StoredText.Moment(row.GetString(8)), row.GetString(9), row.GetString(10)));
        },
        """
        SELECT this.sequence, this.kind, this.issued_utc, this.issued_by, this.reviewed_by, earlier.number, this.reason, later.number,
               signed_utc, signed_by, function
        FROM certificates AS this
        LEFT JOIN certificates AS earlier ON earlier.sequence = this.replaces
        LEFT JOIN certificates AS later ON later.replaces = this.sequence
        LEFT JOIN sign_offs ON sign_offs.certificate = this.sequence
        WHERE this.number = $1
        """,
        number).FirstOrDefault();

    public static void InsertSignOff(SqliteConnection connection, long sequence, SignOff signOff, IReadOnlyList<CertificateDocument> documents)
    {
        connection.Execute(
            "INSERT INTO sign_offs VALUES ($1, $2, $3, $4)", sequence, RecordJsonWriter.Moment(signOff.SignedUtc), signOff.By, signOff.Function);
        InsertDocuments(connection, "signed_documents", sequence, documents);
    }

    private static List<string> Runs(SqliteConnection connection, long sequence) => connection.Rows(
        row => row.GetString(0),
        "SELECT runs.id FROM certificate_runs JOIN runs ON runs.number = certificate_runs.run WHERE certificate = $1 ORDER BY started_utc, runs.number",
        sequence);

    private static List<StoredDocument> Documents(SqliteConnection connection, long sequence, bool signed) => connection.Rows(
        row => new StoredDocument(StoredText.Word<DocumentFormat>(row.GetString(0)), row.GetString(1), row.GetInt64(2)),
        $"SELECT format, sha256, length(bytes) FROM {(signed ? "signed_documents" : "documents")} WHERE certificate = $1 ORDER BY format",
        sequence);
}
