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
    private readonly RunStore _store;
    private readonly RunRecord _header;
    private readonly BlockingCollection<Action> _work = [];
    private readonly Thread _writer;
    private Exception? _failure;

    /// <param name="store">Where the run is kept.</param>
    /// <param name="header">The run before its first cycle.</param>
    public StoreWatcher(RunStore store, RunRecord header)
    {
        _store = store;
        _header = header;
        store.Begin(header);
        _writer = new Thread(Write) { IsBackground = true, Name = "records" };
        _writer.Start();
    }

    public void Cycle(in BenchSnapshot bench, in RunProgress progress)
    {
    }

    public void Happened(RunEvent happened)
    {
        if (happened is RunEvent.PointRead point)
            _work.Add(() => _store.AddPoint(_header.Id, point.Point));
        else if (happened is RunEvent.ZeroRead zero)
            _work.Add(() => _store.AddZero(_header.Id, zero.Zero));
        else if (happened is RunEvent.RoomRead room)
            _work.Add(() => _store.AddEnvironment(_header.Id, room.Reading));
        else if (happened is RunEvent.Answered answered)
            _work.Add(() => _store.AddAnswer(_header.Id, answered.Answer));
        else if (happened is RunEvent.LeakTested leak)
            _work.Add(() => _store.AddLeakTest(_header.Id, leak.Result));
    }

    /// <summary>Writes everything that waits, and how the run ended.</summary>
    /// <exception cref="IOException">Something could not be written.</exception>
    public void End(RunRecord record)
    {
        _work.Add(() => _store.End(_header.Id, RunEnding.Of(record)));
        _work.CompleteAdding();
        _writer.Join();
        if (_failure is not null)
            throw new IOException($"the run could not be kept in the records: {_failure.Message}", _failure);
    }

    public void Dispose()
    {
        _work.CompleteAdding();
        _writer.Join();
        _work.Dispose();
    }

    private void Write()
    {
        try
        {
            foreach (Action step in _work.GetConsumingEnumerable())
                step();
        }
        catch (Exception error) when (error is RunStoreException or Microsoft.Data.Sqlite.SqliteException)
        {
            _failure = error;
        }
    }
}
