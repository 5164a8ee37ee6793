using System.Globalization;
using System.Security.Cryptography;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Certificates: numbered without a gap, kept byte for byte, replaced but never changed.</summary>
public sealed class CertificateRegister
{
    private readonly StoreFile _file;

    internal CertificateRegister(StoreFile file) => _file = file;

    /// <summary>Allocates the next number, has the documents made for it and keeps both, or does nothing at all.</summary>
    /// <param name="order">What is to be certified.</param>
    /// <param name="make">
    /// Makes the documents for a number. It is called again with the next number where another program took this one
    /// meanwhile; what it throws leaves no trace in the numbers.
    /// </param>
    /// <exception cref="RunStoreException">The runs cannot be certified as ordered; the message says why.</exception>
    public IssuedCertificate Issue(CertificateOrder order, Func<string, IReadOnlyList<CertificateDocument>> make)
    {
        ArgumentNullException.ThrowIfNull(make);
        while (true)
        {
            long sequence = _file.Read(connection =>
            {
                CertificateChecks.Check(connection, order);
                return CertificateRows.Next(connection);
            });
            string number = NumberOf(order.Prefix, sequence);
            // Not inside the transaction: nobody's run should wait for the making of a document.
            IReadOnlyList<CertificateDocument> documents = make(number);
            bool taken = _file.Write($"certificate {number}", connection =>
            {
                CertificateChecks.Check(connection, order);
                if (CertificateRows.Next(connection) != sequence)
                    return true;
                CertificateRows.Insert(connection, order, sequence, number, documents);
                return false;
            });
            if (!taken)
                return Get(number)!;
        }
    }

    /// <summary>Signs a draft off and keeps its documents as signed beside those of the draft; once, and never of a replaced one.</summary>
    /// <param name="documents">Made with the signature in them.</param>
    /// <exception cref="RunStoreException">There is no such certificate, it is signed already, or another took its place.</exception>
    public void SignOff(string number, SignOff signOff, IReadOnlyList<CertificateDocument> documents) =>
        _file.Write($"the signature of certificate {number}", connection =>
        {
            IssuedCertificate certificate = CertificateRows.Load(connection, number)
                ?? throw new RunStoreException($"there is no certificate {number}; 'certificates list' shows those that there are");
            if (certificate.SignedOff is { } earlier)
                throw new RunStoreException($"certificate {number} was signed off by {earlier.By} already; to change it, amend it");
            if (certificate.ReplacedBy is { } later)
                throw new RunStoreException($"certificate {number} was replaced by {later}; sign that one off");
            CertificateRows.InsertSignOff(connection, certificate.Sequence, signOff, documents);
        });

    /// <summary>Every certificate, the newest first.</summary>
    public IReadOnlyList<IssuedCertificate> List() => _file.Read(connection => connection
        .Rows(row => row.GetString(0), "SELECT number FROM certificates ORDER BY sequence DESC")
        .ConvertAll(number => CertificateRows.Load(connection, number)!));

    /// <summary>The certificate, or null where that number was never issued.</summary>
    public IssuedCertificate? Get(string number) => _file.Read(connection => CertificateRows.Load(connection, number));

    /// <summary>Every certificate of a run, the valid one first.</summary>
    public IReadOnlyList<IssuedCertificate> OfRun(string runId) => _file.Read(connection => connection
        .Rows(
            row => row.GetString(0),
            """
            SELECT certificates.number FROM certificate_runs
            JOIN certificates ON certificates.sequence = certificate_runs.certificate
            JOIN runs ON runs.number = certificate_runs.run
            WHERE runs.id = $1 ORDER BY sequence DESC
            """,
            runId)
        .ConvertAll(number => CertificateRows.Load(connection, number)!));

    /// <summary>The bytes as they were signed, or as drafted where nobody signed; null where there is no such document.</summary>
    /// <exception cref="RunStoreException">They are no longer what they were.</exception>
    public byte[]? Document(string number, DocumentFormat format) => _file.Read(connection =>
    {
        (string Sha256, byte[] Bytes) stored = connection.Rows(
            row => (row.GetString(0), row.GetFieldValue<byte[]>(1)),
            """
            SELECT kept.sha256, kept.bytes FROM (
                SELECT certificate, format, sha256, bytes, 1 AS signed FROM signed_documents
                UNION ALL SELECT certificate, format, sha256, bytes, 0 FROM documents) AS kept
            JOIN certificates ON certificates.sequence = kept.certificate
            WHERE number = $1 AND kept.format = $2 ORDER BY signed DESC LIMIT 1
            """,
            number, JsonWords.Of(format)).FirstOrDefault();
        if (stored.Bytes is null)
            return null;
        return HashOf(stored.Bytes) == stored.Sha256
            ? stored.Bytes
            : throw new RunStoreException($"the {JsonWords.Of(format)} of certificate {number} is not what was issued; restore a backup");
    });

    /// <summary>SHA-256, hexadecimal.</summary>
    internal static string HashOf(ReadOnlySpan<byte> bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));

    private static string NumberOf(string prefix, long sequence) => string.Create(CultureInfo.InvariantCulture, $"{prefix}{sequence:D5}");
}
