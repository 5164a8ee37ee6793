using System.Collections.Concurrent;
using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Daemon.Output;

/// <summary>Adds what a run reports to the store as it happens, so that a crash loses nothing that was read.</summary>
/// <remarks>On a thread of its own: a record waits for the disk, and the control cycle must not.</remarks>
internal sealed class StoreWatcher : IRunWatcher, IDisposable
{
    private readonly RunStore store;
    private readonly RunRecord header;
    private readonly BlockingCollection<Action> work = [];
    private readonly Thread writer;
    private Exception? failure;

    /// <param name="store">Where the run is kept.</param>
    /// <param name="header">The run before its first cycle.</param>
    public StoreWatcher(RunStore store, RunRecord header)
    {
        this.store = store;
        this.header = header;
        store.Begin(header);
        writer = new Thread(Write) { IsBackground = true, Name = "records" };
        writer.Start();
    }

    public void Cycle(in BenchSnapshot bench, in RunProgress progress)
    {
    }

    public void Happened(RunEvent happened)
    {
        if (happened is RunEvent.PointRead point)
            work.Add(() => store.AddPoint(header.Id, point.Point));
        else if (happened is RunEvent.ZeroRead zero)
            work.Add(() => store.AddZero(header.Id, zero.Zero));
        else if (happened is RunEvent.LeakTested leak)
            work.Add(() => store.AddLeakTest(header.Id, leak.Result));
    }

    /// <summary>Writes everything that waits, and how the run ended.</summary>
    /// <exception cref="IOException">Something could not be written.</exception>
    public void End(RunRecord record)
    {
        work.Add(() => store.End(header.Id, RunEnding.Of(record)));
        work.CompleteAdding();
        writer.Join();
        if (failure is not null)
            throw new IOException($"the run could not be kept in the records: {failure.Message}", failure);
    }

    public void Dispose()
    {
        work.CompleteAdding();
        writer.Join();
        work.Dispose();
    }

    private void Write()
    {
        try
        {
            foreach (Action step in work.GetConsumingEnumerable())
                step();
        }
        catch (Exception error) when (error is RunStoreException or Microsoft.Data.Sqlite.SqliteException)
        {
            failure = error;
        }
    }
}
