using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Copies a store, also while it is written, by SQLite's online backup.</summary>
internal static class StoreCopy
{
    /// <summary>Writes one self-contained file, whole or not at all. A file of that name is replaced.</summary>
    public static void Write(string store, string target)
    {
        using SqliteConnection source = StoreFile.Connect(store, SqliteOpenMode.ReadOnly);
        Write(source, target);
    }

    /// <summary>The same from an open connection, and so from the snapshot of its transaction.</summary>
    public static void Write(SqliteConnection source, string target)
    {
        string partial = $"{target}.part";
        File.Delete(partial);
        using (SqliteConnection copy = StoreFile.Connect(partial, SqliteOpenMode.ReadWriteCreate))
        {
            source.BackupDatabase(copy);
            // A copy in write-ahead mode could not be opened from a place that cannot be written.
            copy.Execute("PRAGMA journal_mode = DELETE");
        }

        File.Move(partial, target, overwrite: true);
    }
}
