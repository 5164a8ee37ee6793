using System.Text;
using Barostep.Records;
using Microsoft.Data.Sqlite;

namespace Barostep.Tests.Records;

public sealed class CertificateRegisterTests : IDisposable
{
    private static readonly DateTimeOffset Day = new(2026, 4, 1, 8, 0, 0, TimeSpan.Zero);

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-certificates-");
    private readonly string _path;
    private readonly RunStore _store;

    public CertificateRegisterTests()
    {
        _path = Path.Combine(_folder.FullName, "records.sqlite");
        _store = RunStore.Open(_path);
        foreach (string id in new[] { "a", "b", "c" })
            _store.Save(Run(id));
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public void A_certificate_gives_the_same_bytes_again_after_the_store_was_closed()
    {
        IssuedCertificate issued = Issue("a");

        using RunStore later = RunStore.Open(_path);

        Assert.Equal("document of DH-P-00001"u8.ToArray(), later.Certificates.Document(issued.Number, DocumentFormat.Pdf));
        Assert.Null(later.Certificates.Document(issued.Number, DocumentFormat.Xml));
        // From the command line: printf 'document of DH-P-00001' | sha256sum.
        Assert.Equal(
            new StoredDocument(DocumentFormat.Pdf, "277bcb0d2bc8cdb1d22a34a9b0cc12a57c0bc937f57ccc9cb693627c2df5f889", 22),
            Assert.Single(later.Certificates.Get(issued.Number)!.Documents));
    }

    [Fact]
    public void Numbers_count_up_without_a_gap_also_where_the_making_fails()
    {
        Assert.Equal("DH-P-00001", Issue("a").Number);
        Assert.Throws<InvalidOperationException>(() => _store.Certificates.Issue(Order("b"), _ => throw new InvalidOperationException("out of ink")));
        Assert.Equal("DH-P-00002", Issue("b").Number);
        Assert.Equal(("X00003", 3), (Issue("c", prefix: "X").Number, _store.Certificates.Get("X00003")!.Sequence));
    }

    [Fact]
    public void Two_programs_that_issue_at_once_get_two_numbers()
    {
        using RunStore other = RunStore.Open(_path);
        List<string> made = [];

        IssuedCertificate mine = _store.Certificates.Issue(Order("a"), number =>
        {
            // Between the look at the numbers and the writing, the other program is faster once.
            if (made.Count == 0)
                other.Certificates.Issue(Order("b"), Documents);
            made.Add(number);
            return Documents(number);
        });

        Assert.Equal(["DH-P-00001", "DH-P-00002"], made);
        Assert.Equal("DH-P-00002", mine.Number);
        Assert.Equal("document of DH-P-00002"u8.ToArray(), _store.Certificates.Document(mine.Number, DocumentFormat.Pdf));
        Assert.Equal("DH-P-00001", Assert.Single(_store.Certificates.OfRun("b")).Number);
    }

    [Fact]
    public void An_amendment_is_a_new_certificate_that_names_the_old_one_which_stays_readable()
    {
        IssuedCertificate first = Issue("a");
        byte[] before = _store.Certificates.Document(first.Number, DocumentFormat.Pdf)!;
        IssuedCertificate second = _store.Certificates.Issue(Order("a") with { Amends = new Amendment(first.Number, "customer's name misspelt") }, Documents);

        Assert.Equal(new Amendment(first.Number, "customer's name misspelt"), second.Amends);
        Assert.Equal(second.Number, _store.Certificates.Get(first.Number)!.ReplacedBy);
        Assert.Equal([second.Number, first.Number], _store.Certificates.OfRun("a").Select(certificate => certificate.Number));
        Assert.Equal(before, _store.Certificates.Document(first.Number, DocumentFormat.Pdf));
    }

    [Fact]
    public void Rejects_what_would_leave_two_valid_certificates_or_none_to_replace()
    {
        IssuedCertificate first = Issue("a");
        _store.Save(Run("stopped") with { Outcome = RunOutcome.Stopped });

        Assert.Contains("has certificate DH-P-00001 already", Refusal(Order("a")), StringComparison.Ordinal);
        Assert.Contains("no certificate DH-P-00009", Refusal(Order("a") with { Amends = new Amendment("DH-P-00009", "typing error") }), StringComparison.Ordinal);
        Assert.Contains("without a reason", Refusal(Order("a") with { Amends = new Amendment(first.Number, " ") }), StringComparison.Ordinal);
        Assert.Contains("is of other runs", Refusal(Order("b") with { Amends = new Amendment(first.Number, "typing error") }), StringComparison.Ordinal);
        Assert.Contains("there is no run nobody", Refusal(Order("nobody")), StringComparison.Ordinal);
        Assert.Contains("was not completed (stopped)", Refusal(Order("stopped")), StringComparison.Ordinal);
        Assert.Contains("not one device as found and as left", Refusal(Order("b", "c")), StringComparison.Ordinal);
        _store.Certificates.Issue(Order("a") with { Amends = new Amendment(first.Number, "typing error") }, Documents);
        Assert.Contains("was replaced by DH-P-00002 already", Refusal(Order("a") with { Amends = new Amendment(first.Number, "again") }), StringComparison.Ordinal);
    }

    [Fact]
    public void A_certificate_is_of_a_run_as_found_and_a_run_as_left_of_one_job()
    {
        _store.Save(Run("found") with { Job = new JobUse(SampleRuns.Substation, JobStage.AsFound) });
        _store.Save(Run("left") with { Job = new JobUse(SampleRuns.Substation, JobStage.AsLeft) });

        IssuedCertificate issued = _store.Certificates.Issue(Order("found", "left"), Documents);

        Assert.Equal(["found", "left"], issued.RunIds);
        Assert.Equal(issued.Number, Assert.Single(_store.Certificates.OfRun("left")).Number);
    }

    [Theory]
    [InlineData("INSERT INTO certificates (sequence, number, kind, issued_utc, issued_by) VALUES (7, 'X', 'calibrationCertificate', '', '')", "no gaps")]
    [InlineData("UPDATE documents SET bytes = x'00'", "never changed")]
    [InlineData("INSERT OR REPLACE INTO documents VALUES (1, 'pdf', '', x'00')", "never replaced")]
    [InlineData("INSERT OR REPLACE INTO documents (rowid, certificate, format, sha256, bytes) VALUES (1, 1, 'xml', '', x'00')", "never replaced")]
    [InlineData("INSERT OR REPLACE INTO certificates (sequence, number, kind, issued_utc, issued_by) VALUES (2, 'DH-P-00001', 'internalReport', '', '')", "never replaced")]
    [InlineData("DELETE FROM certificate_runs", "never deleted")]
    public void No_issued_certificate_is_changed_from_outside_either(string statement, string says)
    {
        Issue("a");
        using SqliteConnection connection = new($"Data Source={_path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // The statements are the constants above.
        command.CommandText = statement;
#pragma warning restore CA2100

        SqliteException refused = Assert.Throws<SqliteException>(() => command.ExecuteNonQuery());

        Assert.Contains(says, refused.Message, StringComparison.Ordinal);
    }

    private static CertificateOrder Order(params string[] runs) => new()
    {
        Kind = CertificateKind.CalibrationCertificate,
        RunIds = runs,
        Prefix = "DH-P-",
        IssuedUtc = Day,
        IssuedBy = "A. Holm, head of the workshop",
    };

    private static IReadOnlyList<CertificateDocument> Documents(string number) =>
        [new CertificateDocument(DocumentFormat.Pdf, Encoding.UTF8.GetBytes($"document of {number}"))];

    private static RunRecord Run(string id) =>
        SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown with { PointsOfSpan = [0, 1], Samples = 2 }, (_, _, _) => 0.001) with { Id = id };

    private IssuedCertificate Issue(string run, string prefix = "DH-P-") => _store.Certificates.Issue(Order(run) with { Prefix = prefix }, Documents);

    private string Refusal(CertificateOrder order) =>
        Assert.Throws<RunStoreException>(() => _store.Certificates.Issue(order, Documents)).Message;
}
