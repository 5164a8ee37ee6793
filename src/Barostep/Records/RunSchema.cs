using Barostep.Records.Schema;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>The version of the run store's tables, and the steps that lead to it, forward only.</summary>
/// <remarks>A published step is never edited: what changes later is a further step.</remarks>
internal static class RunSchema
{
    /// <summary>"Baro" in ASCII: tells a run store from any other SQLite file.</summary>
    private const long ApplicationId = 0x4261726F;

    private static readonly string[] _steps = [RunTables.Step, WorkshopTables.Step, ReleaseTables.Step, SettlingTables.Step, AnswerTables.Step, UnattendedTables.Step];

    public static int Version => _steps.Length;

    /// <summary>Brings an open file to this program's version, or refuses it unchanged.</summary>
    /// <remarks>A file of an earlier version is copied beside itself first: <c>records.schema-1.sqlite</c>.</remarks>
    public static void Migrate(SqliteConnection connection, string path)
    {
        if (VersionOf(connection, path) == Version)
            return;

        using SqliteTransaction transaction = connection.BeginTransaction(deferred: false);
        // Asked again under the lock: another process may have migrated in between.
        int version = VersionOf(connection, path);
        if (version is > 0 && version < Version)
            StoreCopy.Write(path, CopyPath(path, version));
        for (int step = version; step < Version; step++)
            connection.Execute(_steps[step]);
        connection.Execute($"PRAGMA application_id = {ApplicationId}; PRAGMA user_version = {Version};");
        transaction.Commit();
    }

    /// <summary>Where a file of an earlier version is kept.</summary>
    public static string CopyPath(string path, int version) => Path.Combine(
        Path.GetDirectoryName(Path.GetFullPath(path))!,
        $"{Path.GetFileNameWithoutExtension(path)}.schema-{version}{Path.GetExtension(path)}");

    /// <summary>The version of an open file; 0 for an empty one.</summary>
    /// <exception cref="RunStoreException">It is a database of something else, or of a newer program.</exception>
    public static int VersionOf(SqliteConnection connection, string path)
    {
        long version = connection.Number("PRAGMA user_version");
        long application = connection.Number("PRAGMA application_id");
        bool empty = connection.Number("SELECT count(*) FROM sqlite_schema") == 0;
        if (!empty && application != ApplicationId)
            throw new RunStoreException($"{path} is a database of something else; name a run store or a file that does not exist yet");
        if (version > Version)
        {
            throw new RunStoreException(
                $"{path} has schema version {version}, but this program knows versions up to {Version}; "
                + "use the newer program that wrote it, or a copy made before the upgrade. Nothing was changed");
        }

        return (int)version;
    }
}
