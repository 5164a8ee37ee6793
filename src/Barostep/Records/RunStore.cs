using Barostep.Evaluation;
using Barostep.Evaluation.Drift;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>All records of an installation in one SQLite file, written as they come and never changed afterwards.</summary>
/// <remarks>
/// <para>Each call is one transaction, on the disk before the call returns (write-ahead log, synchronous FULL): what ends
/// the process leaves every point up to the last one, and a run without an ending, which reads as
/// <see cref="RunOutcome.Incomplete"/>. Triggers refuse to change, replace or delete a row.</para>
/// <para>Any thread may call; writers wait for each other, readers wait for no one.</para>
/// </remarks>
public sealed class RunStore : IDisposable
{
    private readonly StoreFile _file;

    private RunStore(StoreFile file)
    {
        _file = file;
        Devices = new DeviceRegister(file);
        Standards = new StandardRegister(file);
        Jobs = new JobRegister(file);
        Certificates = new CertificateRegister(file);
        Actions = new ActionRegister(file);
        Queue = new QueueRegister(file);
        Notices = new NoticeRegister(file);
    }

    /// <summary>Devices under test over the years.</summary>
    public DeviceRegister Devices { get; }

    /// <summary>Reference standards over the years.</summary>
    public StandardRegister Standards { get; }

    /// <summary>Customers' orders: as found, adjustment, as left.</summary>
    public JobRegister Jobs { get; }

    public CertificateRegister Certificates { get; }

    /// <summary>Who asked for what.</summary>
    public ActionRegister Actions { get; }

    /// <summary>Runs that wait for their turn.</summary>
    public QueueRegister Queue { get; }

    /// <summary>What people are told, and whether it reached them.</summary>
    public NoticeRegister Notices { get; }

    /// <summary>Opens the file, creating or migrating it. It is read through first, to find damage before adding to it.</summary>
    /// <exception cref="RunStoreException">The file is newer than this program, damaged, or no run store.</exception>
    public static RunStore Open(string path) => new(StoreFile.OpenOrCreate(path));

    /// <summary>Opens a file that must be there, for a look; migrates it where it is of an earlier version.</summary>
    /// <exception cref="RunStoreException">There is none, or it is newer than this program or no run store.</exception>
    public static RunStore OpenExisting(string path) => new(StoreFile.OpenExisting(path));

    /// <summary>Starts a run with its standards, job and surroundings. What is read and what <see cref="RunEnding"/> holds are ignored.</summary>
    /// <exception cref="RunStoreException">There is a run of this id already.</exception>
    public void Begin(RunRecord header) => Write(header.Id, connection => BeginIn(connection, header));

    /// <exception cref="RunStoreException">There is no such run, or it has ended.</exception>
    public void AddZero(string runId, ZeroRecord zero) =>
        Write(runId, connection => RunRows.InsertZero(connection, Started(connection, runId), zero));

    /// <exception cref="RunStoreException">There is no such run, it has ended, or the point is there already.</exception>
    public void AddPoint(string runId, PointRecord point) =>
        Write(runId, connection => RunRows.InsertPoint(connection, Started(connection, runId), point));

    /// <exception cref="RunStoreException">There is no such run, it has ended, or the prompt is answered already.</exception>
    public void AddAnswer(string runId, AnswerRecord answer) =>
        Write(runId, connection => RunRows.InsertAnswer(connection, Started(connection, runId), answer));

    /// <exception cref="RunStoreException">There is no such run, it has ended, or has its leak test already.</exception>
    public void AddLeakTest(string runId, LeakTestRecord test) =>
        Write(runId, connection => RunRows.InsertLeakTest(connection, Started(connection, runId), test));

    /// <exception cref="RunStoreException">There is no such run, or it has ended.</exception>
    public void AddEnvironment(string runId, EnvironmentReading reading) =>
        Write(runId, connection => RunRows.InsertEnvironment(connection, Started(connection, runId), reading));

    /// <summary>Ends a run and keeps the verdict of the moment beside it; nothing can be added afterwards.</summary>
    /// <exception cref="RunStoreException">There is no such run, or it has ended.</exception>
    public void End(string runId, RunEnding ending) =>
        Write(runId, connection => EndIn(connection, Started(connection, runId), ending));

    /// <summary>Stores a finished run in one piece.</summary>
    /// <exception cref="RunStoreException">There is a run of this id already.</exception>
    public void Save(RunRecord record) => SaveAll([record]);

    /// <summary>Stores finished runs, all or none.</summary>
    /// <exception cref="RunStoreException">There is a run of one of these ids already.</exception>
    public void SaveAll(IReadOnlyList<RunRecord> records) => Write(
        records.Count == 1 ? records[0].Id : $"{records[0].Id} and {records.Count - 1} more",
        connection =>
        {
            foreach (RunRecord record in records)
                SaveIn(connection, record);
        });

    /// <summary>The record, or null where there is no such run. A run without an ending is <see cref="RunOutcome.Incomplete"/>.</summary>
    /// <remarks>Results are made from the record by <see cref="RunEvaluation"/>, whichever version wrote it.</remarks>
    public RunRecord? Get(string runId) => _file.Read(connection =>
        RunRows.NumberOf(connection, runId) is { } run ? RunReader.Load(connection, run) : null);

    /// <summary>The whole id of the run whose id begins with a text.</summary>
    /// <exception cref="RunStoreException">There is none, or there are several; the message lists them.</exception>
    public string Find(string beginning) => _file.Read(connection => RunLists.Find(connection, beginning));

    /// <summary>Newest first.</summary>
    /// <param name="page">From 1.</param>
    public IReadOnlyList<RunSummary> List(int page, int pageSize = 50)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(page, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(pageSize, 1);
        return _file.Read(connection => RunLists.Page(connection, page, pageSize));
    }

    /// <summary>The runs that ended since a moment, or began since and have not ended; newest first.</summary>
    public IReadOnlyList<RunSummary> Since(DateTimeOffset utc) => _file.Read(connection => RunLists.Since(connection, utc));

    /// <summary>How many runs there are.</summary>
    public long Count() => _file.Read(connection => connection.Number("SELECT count(*) FROM runs"));

    /// <summary>All runs of one device, newest first.</summary>
    public IReadOnlyList<RunSummary> DeviceHistory(string manufacturer, string model, string serialNumber) =>
        _file.Read(connection => RunLists.OfDevice(connection, new DeviceIdentity(manufacturer, model, serialNumber)));

    /// <summary>The full records of one device's runs, oldest first.</summary>
    public IReadOnlyList<RunRecord> RecordsOf(DeviceIdentity device) => _file.Read(connection =>
        RunLists.NumbersOf(connection, device).ConvertAll(run => RunReader.Load(connection, run)));

    /// <summary>The errors of one device's ended runs as they were told when each ended, oldest first.</summary>
    public IReadOnlyList<RunErrors> ErrorsOf(DeviceIdentity device) => _file.Read(connection => DeviceErrors.Load(connection, device));

    public void Dispose() => _file.Dispose();

    private static void BeginIn(SqliteConnection connection, RunRecord header)
    {
        if (RunRows.NumberOf(connection, header.Id) is not null)
            throw new RunStoreException($"run {header.Id} is in the store already; a run is stored once");
        RunRows.InsertRun(connection, header);
    }

    private static void SaveIn(SqliteConnection connection, RunRecord record)
    {
        BeginIn(connection, record);
        long run = Started(connection, record.Id);
        if (record.LeakTest is { } test)
            RunRows.InsertLeakTest(connection, run, test);
        foreach (ZeroRecord zero in record.Zeros)
            RunRows.InsertZero(connection, run, zero);
        foreach (PointRecord point in record.Points)
            RunRows.InsertPoint(connection, run, point);
        foreach (AnswerRecord answer in record.Answers)
            RunRows.InsertAnswer(connection, run, answer);
        RunRows.InsertEnding(connection, run, RunEnding.Of(record));
        RunRows.InsertResult(connection, run, RunEvaluation.Evaluate(record));
    }

    private static void EndIn(SqliteConnection connection, long run, RunEnding ending)
    {
        if (connection.Number("SELECT count(*) FROM endings WHERE run = $1", run) != 0)
            throw new RunStoreException("the run has ended already");
        RunRows.InsertEnding(connection, run, ending);
        RunRows.InsertResult(connection, run, RunEvaluation.Evaluate(RunReader.Load(connection, run)));
    }

    private static long Started(SqliteConnection connection, string runId) =>
        RunRows.NumberOf(connection, runId)
        ?? throw new RunStoreException($"there is no run {runId} in the store; begin it first");

    private void Write(string runId, Action<SqliteConnection> write) => _file.Write($"run {runId}", write);
}
