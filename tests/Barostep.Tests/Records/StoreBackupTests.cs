using Barostep.Records;
using Microsoft.Data.Sqlite;

namespace Barostep.Tests.Records;

public sealed class StoreBackupTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-backup-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void A_backup_taken_while_a_run_is_written_holds_one_moment_of_it()
    {
        RunRecord run = Example();
        using RunStore store = RunStore.Open(PathOf("records.sqlite"));
        store.Begin(run);
        using var stop = new CancellationTokenSource();
        using var writing = new ManualResetEventSlim();
        int written = 0;
        var writer = new Thread(() =>
        {
            while (!stop.IsCancellationRequested)
            {
                store.AddPoint(run.Id, run.Points[0] with { Index = ++written });
                writing.Set();
            }
        });
        writer.Start();
        writing.Wait();
        try
        {
            for (int i = 0; i < 5; i++)
            {
                StoreContents copy = StoreBackup.Write(PathOf("records.sqlite"), PathOf($"backup-{i}.sqlite"));

                using RunStore restored = RunStore.OpenExisting(copy.Path);
                IReadOnlyList<PointRecord> points = restored.Get(run.Id)!.Points;
                Assert.Equal(copy.Rows["points"], points.Count);
                Assert.Equal(Enumerable.Range(1, points.Count), points.Select(point => point.Index));
                Assert.All(points, point => Assert.Equal(run.Points[0].Samples, point.Samples));
            }
        }
        finally
        {
            stop.Cancel();
            writer.Join();
        }

        Assert.Equal(written, store.Get(run.Id)!.Points.Count);
    }

    [Fact]
    public void A_backup_is_one_file_that_a_check_accepts_and_a_store_can_continue_from()
    {
        using (RunStore store = RunStore.Open(PathOf("records.sqlite")))
        {
            store.Save(Example());
            Assert.Equal(1, StoreBackup.Write(PathOf("records.sqlite"), PathOf("backup.sqlite")).Rows["runs"]);
        }

        StoreContents checkedContents = StoreBackup.Check(PathOf("backup.sqlite"));
        Assert.Equal(12, checkedContents.Rows["points"]);
        Assert.Equal(["backup.sqlite", "records.sqlite"], _folder.GetFiles().Select(file => file.Name).Order());
        using RunStore restored = RunStore.Open(PathOf("backup.sqlite"));
        restored.Save(Example() with { Id = "next" });
        Assert.Equal(RunJsonTests.Written(Example()), RunJsonTests.Written(restored.Get(Example().Id)!));
    }

    [Fact]
    public void An_earlier_backup_is_never_replaced()
    {
        RunStore.Open(PathOf("records.sqlite")).Dispose();
        File.WriteAllText(PathOf("backup.sqlite"), "last year's");

        Assert.Contains("exists already", Refusal(() => StoreBackup.Write(PathOf("records.sqlite"), PathOf("backup.sqlite"))), StringComparison.Ordinal);
        Assert.Equal("last year's", File.ReadAllText(PathOf("backup.sqlite")));
    }

    [Fact]
    public void Rejects_a_backup_that_is_missing_empty_cut_off_or_changed()
    {
        using (RunStore store = RunStore.Open(PathOf("records.sqlite")))
        {
            store.Save(Example());
            store.Certificates.Issue(
                new CertificateOrder
                {
                    Kind = CertificateKind.InternalReport,
                    RunIds = [Example().Id],
                    Prefix = "R",
                    IssuedUtc = DateTimeOffset.UnixEpoch,
                    IssuedBy = "A. Holm",
                },
                _ => [new CertificateDocument(DocumentFormat.Pdf, new byte[] { 1, 2, 3 })]);
        }

        StoreBackup.Write(PathOf("records.sqlite"), PathOf("good.sqlite"));
        byte[] good = File.ReadAllBytes(PathOf("good.sqlite"));
        File.WriteAllBytes(PathOf("cut.sqlite"), good[..(good.Length / 2)]);
        File.WriteAllBytes(PathOf("empty.sqlite"), []);
        File.Copy(PathOf("good.sqlite"), PathOf("changed.sqlite"));
        Execute(PathOf("changed.sqlite"), "DROP TRIGGER documents_stay; UPDATE documents SET bytes = x'010203ff'");
        File.Copy(PathOf("good.sqlite"), PathOf("orphans.sqlite"));
        Execute(PathOf("orphans.sqlite"), "PRAGMA foreign_keys = OFF; DROP TRIGGER points_keep; DELETE FROM points WHERE point = 3");

        Assert.Contains("there is no file", Refusal(() => StoreBackup.Check(PathOf("missing.sqlite"))), StringComparison.Ordinal);
        Assert.Contains("damaged", Refusal(() => StoreBackup.Check(PathOf("cut.sqlite"))), StringComparison.Ordinal);
        Assert.Contains("is empty", Refusal(() => StoreBackup.Check(PathOf("empty.sqlite"))), StringComparison.Ordinal);
        Assert.Contains("R00001 that is not what was issued", Refusal(() => StoreBackup.Check(PathOf("changed.sqlite"))), StringComparison.Ordinal);
        Assert.Contains("refer to nothing", Refusal(() => StoreBackup.Check(PathOf("orphans.sqlite"))), StringComparison.Ordinal);
    }

    private static RunRecord Example() => SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0.001);

    private static string Refusal(Func<StoreContents> work) => Assert.Throws<RunStoreException>(() => work()).Message;

    private static void Execute(string path, string statements)
    {
        using SqliteConnection connection = new($"Data Source={path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // The statements are the constants of this file.
        command.CommandText = statements;
#pragma warning restore CA2100
        command.ExecuteNonQuery();
    }

    private string PathOf(string name) => Path.Combine(_folder.FullName, name);
}
