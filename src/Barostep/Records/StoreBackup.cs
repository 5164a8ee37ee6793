using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>What a store or a backup of one holds.</summary>
/// <param name="Path">The file.</param>
/// <param name="SchemaVersion">Of its tables.</param>
/// <param name="Bytes">Size of the file.</param>
/// <param name="Rows">Rows by table, in the order of the tables' names.</param>
public sealed record StoreContents(string Path, int SchemaVersion, long Bytes, IReadOnlyDictionary<string, long> Rows);

/// <summary>Backups of a store, also while it is written, and whether one can be restored.</summary>
public static class StoreBackup
{
    /// <summary>Writes a backup of one moment and reads it through; it is left behind only if it holds what the store held.</summary>
    /// <param name="store">The store, of any version that this program knows; it is not migrated.</param>
    /// <param name="target">A file that does not exist yet.</param>
    /// <exception cref="RunStoreException">There is no store, the target exists or cannot be written, or the copy is not good.</exception>
    public static StoreContents Write(string store, string target)
    {
        if (!File.Exists(store))
            throw new RunStoreException($"there are no records at {Path.GetFullPath(store)}; name the folder that has them");
        if (File.Exists(target))
            throw new RunStoreException($"{target} exists already; name a file that does not, so that no earlier backup is lost");
        string unproven = $"{target}.unproven";
        try
        {
            SortedDictionary<string, long> held = CopyOneMoment(store, unproven);
            StoreContents copy = Check(unproven);
            string? differs = held.Keys.FirstOrDefault(table => copy.Rows.GetValueOrDefault(table) != held[table]);
            if (differs is not null)
                throw new RunStoreException($"the backup has {copy.Rows.GetValueOrDefault(differs)} rows of {differs}, the store {held[differs]}; try again on another disk");
            File.Move(unproven, target);
            return copy with { Path = target };
        }
        catch (Exception e) when (e is SqliteException or IOException or UnauthorizedAccessException)
        {
            throw new RunStoreException($"no backup could be written to {target}: {e.Message}", e);
        }
        finally
        {
            File.Delete(unproven);
            File.Delete($"{unproven}.part");
        }
    }

    /// <summary>Reads a backup through as a restore would need it: pages, references among rows, issued documents, counts.</summary>
    /// <exception cref="RunStoreException">It cannot be restored; the message says what is wrong with it.</exception>
    public static StoreContents Check(string file)
    {
        if (!File.Exists(file))
            throw new RunStoreException($"there is no file {Path.GetFullPath(file)}");
        try
        {
            using SqliteConnection connection = StoreFile.Connect(file, SqliteOpenMode.ReadOnly);
            int version = RunSchema.VersionOf(connection, file);
            if (version == 0)
                throw new RunStoreException($"{file} is empty; there is nothing in it to restore");
            List<string> damage = connection.Rows(row => row.GetString(0), "PRAGMA integrity_check(1)");
            if (damage is not ["ok"])
                throw new RunStoreException($"{file} is damaged ({damage[0]}); use another backup");
            List<string> orphans = connection.Rows(row => row.GetString(0), "PRAGMA foreign_key_check");
            if (orphans.Count > 0)
                throw new RunStoreException($"{file} has {orphans.Count} rows of {orphans[0]} and others that refer to nothing; use another backup");
            SortedDictionary<string, long> rows = RowsOf(connection);
            if (rows.ContainsKey("documents"))
                CheckDocuments(connection, file);
            return new StoreContents(file, version, new FileInfo(file).Length, rows);
        }
        catch (SqliteException e)
        {
            throw StoreFile.Complaint(file, e);
        }
    }

    private static SortedDictionary<string, long> CopyOneMoment(string store, string target)
    {
        using SqliteConnection source = StoreFile.Connect(store, SqliteOpenMode.ReadOnly);
        using SqliteTransaction moment = source.BeginTransaction(deferred: true);
        RunSchema.VersionOf(source, store);
        SortedDictionary<string, long> held = RowsOf(source);
        StoreCopy.Write(source, target);
        return held;
    }

    private static SortedDictionary<string, long> RowsOf(SqliteConnection connection)
    {
        var rows = new SortedDictionary<string, long>(StringComparer.Ordinal);
        foreach (string table in connection.Rows(row => row.GetString(0), "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"))
            rows[table] = connection.Number($"SELECT count(*) FROM \"{table}\"");
        return rows;
    }

    private static void CheckDocuments(SqliteConnection connection, string file)
    {
        List<string> changed = connection.Rows(
            row => CertificateRegister.HashOf(row.GetFieldValue<byte[]>(2)) == row.GetString(1) ? string.Empty : row.GetString(0),
            "SELECT number, sha256, bytes FROM documents JOIN certificates ON certificates.sequence = documents.certificate");
        if (changed.Find(number => number.Length > 0) is { } bad)
            throw new RunStoreException($"{file} has a document of certificate {bad} that is not what was issued; use another backup");
    }
}
