using Barostep.Evaluation;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>All runs of an installation in one SQLite file, written as they go and never changed afterwards.</summary>
/// <remarks>
/// <para>Each call is one transaction, on the disk before the call returns (write-ahead log, synchronous FULL): what ends
/// the process leaves every point up to the last one, and a run without an ending, which reads as
/// <see cref="RunOutcome.Incomplete"/>. Triggers refuse to change or delete a row.</para>
/// <para>Any thread may call; writers wait for each other, readers wait for no one.</para>
/// </remarks>
public sealed class RunStore : IDisposable
{
    private const int BusySeconds = 10;
    private const int NotADatabase = 26;
    private const int Corrupt = 11;

    private readonly Lock _gate = new();
    private readonly SqliteConnection _writer;
    private readonly string _path;

    private RunStore(SqliteConnection writer, string path)
    {
        _writer = writer;
        _path = path;
    }

    /// <summary>Opens the file, creating or migrating it.</summary>
    /// <exception cref="RunStoreException">The file is newer than this program, damaged, or no run store.</exception>
    public static RunStore Open(string path)
    {
        SqliteConnection writer = new(ConnectionString(path, SqliteOpenMode.ReadWriteCreate));
        try
        {
            writer.Open();
            RunSchema.Migrate(writer, path);
            writer.Execute("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;");
            List<string> found = writer.Rows(row => row.GetString(0), "PRAGMA quick_check(1)");
            if (found is not ["ok"])
                throw new RunStoreException($"{path} is damaged ({found[0]}); keep a copy of it and restore a backup");
            return new RunStore(writer, path);
        }
        catch (SqliteException e) when (e.SqliteErrorCode is NotADatabase or Corrupt)
        {
            writer.Dispose();
            throw new RunStoreException($"{path} is no run store or is damaged: {e.Message}; name another file or restore a backup", e);
        }
        catch (SqliteException e)
        {
            writer.Dispose();
            throw new RunStoreException($"{path} cannot be opened as a run store: {e.Message}", e);
        }
        catch
        {
            writer.Dispose();
            throw;
        }
    }

    /// <summary>Starts a run. Zeros, points and what <see cref="RunEnding"/> holds are ignored.</summary>
    /// <exception cref="RunStoreException">There is a run of this id already.</exception>
    public void Begin(RunRecord header) => Write(header.Id, connection => BeginIn(connection, header));

    /// <exception cref="RunStoreException">There is no such run, or it has ended.</exception>
    public void AddZero(string runId, ZeroRecord zero) =>
        Write(runId, connection => RunRows.InsertZero(connection, Started(connection, runId), zero));

    /// <exception cref="RunStoreException">There is no such run, it has ended, or the point is there already.</exception>
    public void AddPoint(string runId, PointRecord point) =>
        Write(runId, connection => RunRows.InsertPoint(connection, Started(connection, runId), point));

    /// <summary>Ends a run and keeps the verdict of the moment beside it; nothing can be added afterwards.</summary>
    /// <exception cref="RunStoreException">There is no such run, or it has ended.</exception>
    public void End(string runId, RunEnding ending) =>
        Write(runId, connection => EndIn(connection, Started(connection, runId), ending));

    /// <summary>Stores a finished run in one piece.</summary>
    /// <exception cref="RunStoreException">There is a run of this id already.</exception>
    public void Save(RunRecord record) => Write(record.Id, connection =>
    {
        BeginIn(connection, record);
        long run = Started(connection, record.Id);
        foreach (ZeroRecord zero in record.Zeros)
            RunRows.InsertZero(connection, run, zero);
        foreach (PointRecord point in record.Points)
            RunRows.InsertPoint(connection, run, point);
        EndIn(connection, run, RunEnding.Of(record));
    });

    /// <summary>The record, or null where there is no such run. A run without an ending is <see cref="RunOutcome.Incomplete"/>.</summary>
    /// <remarks>Results are made from the record by <see cref="RunEvaluation"/>, whichever version wrote it.</remarks>
    public RunRecord? Get(string runId) => Read(connection =>
        RunRows.NumberOf(connection, runId) is { } run ? RunRows.Load(connection, run) : null);

    /// <summary>Newest first.</summary>
    /// <param name="page">From 1.</param>
    public IReadOnlyList<RunSummary> List(int page, int pageSize = 50)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(page, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(pageSize, 1);
        return Read(connection => RunRows.Page(connection, page, pageSize));
    }

    /// <summary>All runs of one device, newest first.</summary>
    public IReadOnlyList<RunSummary> DeviceHistory(string manufacturer, string model, string serialNumber) =>
        Read(connection => RunRows.OfDevice(connection, manufacturer, model, serialNumber));

    public void Dispose() => _writer.Dispose();

    private static void BeginIn(SqliteConnection connection, RunRecord header)
    {
        if (RunRows.NumberOf(connection, header.Id) is not null)
            throw new RunStoreException($"run {header.Id} is in the store already; a run is stored once");
        RunRows.InsertRun(connection, header);
    }

    private static void EndIn(SqliteConnection connection, long run, RunEnding ending)
    {
        if (connection.Number("SELECT count(*) FROM endings WHERE run = $1", run) != 0)
            throw new RunStoreException("the run has ended already");
        RunRows.InsertEnding(connection, run, ending);
        RunRows.InsertResult(connection, run, RunEvaluation.Evaluate(RunRows.Load(connection, run)));
    }

    private static long Started(SqliteConnection connection, string runId) =>
        RunRows.NumberOf(connection, runId)
        ?? throw new RunStoreException($"there is no run {runId} in the store; begin it first");

    // Pooling would keep files open after the store is closed, and hide a damaged file behind an old handle.
    private static string ConnectionString(string path, SqliteOpenMode mode) => new SqliteConnectionStringBuilder
    {
        DataSource = path,
        Mode = mode,
        ForeignKeys = true,
        Pooling = false,
        DefaultTimeout = BusySeconds,
    }.ToString();

    private void Write(string runId, Action<SqliteConnection> write)
    {
        lock (_gate)
        {
            try
            {
                using SqliteTransaction transaction = _writer.BeginTransaction(deferred: false);
                write(_writer);
                transaction.Commit();
            }
            catch (SqliteException e)
            {
                throw new RunStoreException($"run {runId} could not be written to {_path}: {e.Message}", e);
            }
        }
    }

    private T Read<T>(Func<SqliteConnection, T> read)
    {
        try
        {
            using SqliteConnection reader = new(ConnectionString(_path, SqliteOpenMode.ReadOnly));
            reader.Open();
            // One snapshot for all statements of a look, so that a run read while it ends is not half of each.
            using SqliteTransaction snapshot = reader.BeginTransaction(deferred: true);
            return read(reader);
        }
        catch (SqliteException e)
        {
            throw new RunStoreException($"{_path} could not be read: {e.Message}", e);
        }
    }
}
