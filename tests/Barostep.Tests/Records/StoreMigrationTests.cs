using System.Runtime.CompilerServices;
using Barostep.Records;
using Microsoft.Data.Sqlite;

namespace Barostep.Tests.Records;

/// <summary>Files that released versions wrote, kept as SQL and brought up to date by this version.</summary>
public sealed class StoreMigrationTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-migration-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void A_store_of_version_1_keeps_every_run_and_takes_new_ones()
    {
        string path = Version1();
        RunRecord then;
        using (FileStream written = File.OpenRead(Sample("schema-1.run.json")))
            then = RunJson.Read(written);

        using RunStore store = RunStore.Open(path);

        Assert.Equal(RunJsonTests.Written(then), RunJsonTests.Written(store.Get(then.Id)!));
        Assert.Equal(RunOutcome.Incomplete, store.Get(store.Find("0198c0de-0001"))!.Outcome);
        Assert.Equal(2, store.Count());
        store.Save(then with { Id = "later", LeakTest = new LeakTestRecord(1e6, 60_000_000, -3, 20) });
        Assert.Equal(-3, store.Get("later")!.LeakTest!.RatePascalsPerSecond);
    }

    [Fact]
    public void The_file_is_copied_as_it_was_before_it_is_migrated()
    {
        string path = Version1();

        RunStore.Open(path).Dispose();

        string copy = Path.Combine(_folder.FullName, "records.schema-1.sqlite");
        Assert.Equal(1, StoreBackup.Check(copy).SchemaVersion);
        Assert.Equal(2, StoreBackup.Check(copy).Rows["runs"]);
        Assert.Equal(6, StoreBackup.Check(path).SchemaVersion);
    }

    [Fact]
    public void A_new_store_and_an_up_to_date_one_leave_no_copy()
    {
        string path = Path.Combine(_folder.FullName, "records.sqlite");

        RunStore.Open(path).Dispose();
        RunStore.Open(path).Dispose();

        Assert.Equal(["records.sqlite"], _folder.GetFiles().Select(file => file.Name));
    }

    [Fact]
    public void Where_the_copy_cannot_be_written_nothing_is_migrated()
    {
        string path = Version1();
        Directory.CreateDirectory(Path.Combine(_folder.FullName, "records.schema-1.sqlite"));

        Assert.ThrowsAny<Exception>(() => RunStore.Open(path).Dispose());

        Assert.Equal(1, StoreBackup.Check(path).SchemaVersion);
    }

    [Fact]
    public void The_triggers_guard_what_version_1_wrote()
    {
        string path = Version1();
        RunStore.Open(path).Dispose();

        SqliteException refused = Assert.Throws<SqliteException>(() => Execute(path, "INSERT OR REPLACE INTO runs SELECT * FROM runs"));

        Assert.Contains("records are never replaced", refused.Message, StringComparison.Ordinal);
    }

    private string Version1()
    {
        string path = Path.Combine(_folder.FullName, "records.sqlite");
        Execute(path, File.ReadAllText(Sample("schema-1.sql")));
        return path;
    }

    private static void Execute(string path, string statements)
    {
        using SqliteConnection connection = new($"Data Source={path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // The statements are this folder's own.
        command.CommandText = statements;
#pragma warning restore CA2100
        command.ExecuteNonQuery();
    }

    private static string Sample(string name, [CallerFilePath] string here = "") =>
        Path.Combine(Path.GetDirectoryName(here)!, "stores", name);
}
