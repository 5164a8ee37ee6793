namespace Barostep.Records;

/// <summary>All runs of an installation in one SQLite file, written as they go and never changed afterwards.</summary>
public sealed class RunStore : IDisposable
{
    private RunStore()
    {
    }

    /// <summary>Opens the file, creating or migrating it.</summary>
    /// <exception cref="RunStoreException">The file is newer than this program, or is no store.</exception>
    public static RunStore Open(string path) => throw new NotImplementedException(path);

    /// <summary>Starts a run. Zeros, points and what <see cref="RunEnding"/> holds are ignored.</summary>
    public void Begin(RunRecord header) => throw new NotImplementedException();

    public void AddZero(string runId, ZeroRecord zero) => throw new NotImplementedException();

    public void AddPoint(string runId, PointRecord point) => throw new NotImplementedException();

    /// <summary>Ends a run; nothing can be added to it afterwards.</summary>
    public void End(string runId, RunEnding ending) => throw new NotImplementedException();

    /// <summary>Stores a finished run in one piece.</summary>
    public void Save(RunRecord record) => throw new NotImplementedException();

    /// <summary>The record, or null where there is no such run. A run without an ending is <see cref="RunOutcome.Incomplete"/>.</summary>
    public RunRecord? Get(string runId) => throw new NotImplementedException();

    /// <summary>Newest first.</summary>
    /// <param name="page">From 1.</param>
    public IReadOnlyList<RunSummary> List(int page, int pageSize = 50) => throw new NotImplementedException();

    /// <summary>All runs of one device, newest first.</summary>
    public IReadOnlyList<RunSummary> DeviceHistory(string manufacturer, string model, string serialNumber) => throw new NotImplementedException();

    public void Dispose()
    {
    }
}
