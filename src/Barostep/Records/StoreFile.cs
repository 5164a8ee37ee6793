using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>The store's file: one connection that writes, and one for each look.</summary>
internal sealed class StoreFile : IDisposable
{
    private const int BusySeconds = 10;
    private const int NotADatabase = 26;
    private const int Corrupt = 11;

    private readonly Lock _gate = new();
    private readonly SqliteConnection _writer;
    private readonly string _path;

    private StoreFile(SqliteConnection writer, string path)
    {
        _writer = writer;
        _path = path;
    }

    /// <summary>Opens the file, creating it, or checks and migrates the one that is there.</summary>
    public static StoreFile OpenOrCreate(string path) => Guarded(path, SqliteOpenMode.ReadWriteCreate, writer =>
    {
        List<string> found = writer.Rows(row => row.GetString(0), "PRAGMA quick_check(1)");
        if (found is not ["ok"])
            throw new RunStoreException($"{path} is damaged ({found[0]}); keep a copy of it and restore a backup");
    });

    /// <summary>Opens a file that must be there. It is migrated, but not read through to look for damage.</summary>
    public static StoreFile OpenExisting(string path) => File.Exists(path)
        ? Guarded(path, SqliteOpenMode.ReadWrite, _ => { })
        : throw new RunStoreException($"there are no records at {Path.GetFullPath(path)}; name the folder that has them");

    // Pooling would keep files open after the store is closed, and hide a damaged file behind an old handle.
    public static SqliteConnection Connect(string path, SqliteOpenMode mode)
    {
        SqliteConnection connection = new(new SqliteConnectionStringBuilder
        {
            DataSource = path,
            Mode = mode,
            ForeignKeys = true,
            Pooling = false,
            DefaultTimeout = BusySeconds,
        }.ToString());
        try
        {
            connection.Open();
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    /// <summary>One transaction, on the disk before the call returns.</summary>
    /// <param name="what">What could not be written, if so.</param>
    public T Write<T>(string what, Func<SqliteConnection, T> write)
    {
        lock (_gate)
        {
            try
            {
                using SqliteTransaction transaction = _writer.BeginTransaction(deferred: false);
                T result = write(_writer);
                transaction.Commit();
                return result;
            }
            catch (SqliteException e)
            {
                throw new RunStoreException($"{what} could not be written to {_path}: {e.Message}", e);
            }
        }
    }

    public void Write(string what, Action<SqliteConnection> write) => Write(what, connection =>
    {
        write(connection);
        return true;
    });

    public T Read<T>(Func<SqliteConnection, T> read)
    {
        try
        {
            using SqliteConnection reader = Connect(_path, SqliteOpenMode.ReadOnly);
            // One snapshot for all statements of a look, so that a run read while it ends is not half of each.
            using SqliteTransaction snapshot = reader.BeginTransaction(deferred: true);
            return read(reader);
        }
        catch (SqliteException e)
        {
            throw new RunStoreException($"{_path} could not be read: {e.Message}", e);
        }
    }

    public void Dispose() => _writer.Dispose();

    /// <summary>Gives SQLite's own complaints about a file the words that a person needs.</summary>
    public static RunStoreException Complaint(string path, SqliteException e) => e.SqliteErrorCode is NotADatabase or Corrupt
        ? new RunStoreException($"{path} is no run store or is damaged: {e.Message}; name another file or restore a backup", e)
        : new RunStoreException($"{path} cannot be opened as a run store: {e.Message}", e);

    private static StoreFile Guarded(string path, SqliteOpenMode mode, Action<SqliteConnection> check)
    {
        SqliteConnection? writer = null;
        try
        {
            writer = Connect(path, mode);
            check(writer);
            RunSchema.Migrate(writer, path);
            writer.Execute("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;");
            return new StoreFile(writer, path);
        }
        catch (SqliteException e)
        {
            writer?.Dispose();
            throw Complaint(path, e);
        }
        catch
        {
            writer?.Dispose();
            throw;
        }
    }
}
