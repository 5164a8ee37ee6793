using Barostep.Configuration;
using Barostep.Daemon.Access;
using Barostep.Daemon.Live;
using Barostep.Daemon.Unattended;
using Barostep.Procedures;
using Microsoft.AspNetCore.Http;

namespace Barostep.Daemon.Api;

/// <summary>What the interface reads from and leaves its requests with. It has no way to an instrument.</summary>
/// <param name="Boards">Every bench by name.</param>
/// <param name="Means">Configuration and records.</param>
/// <param name="Starter">Begins runs.</param>
/// <param name="Feed">Frames for who looks on.</param>
/// <param name="Counts">Counts for metrics.</param>
/// <param name="Journals">Reports of the journals.</param>
/// <param name="Time">The clocks.</param>
/// <param name="Access">Who may ask from the network.</param>
/// <param name="Actions">Where it is written down who asked.</param>
/// <param name="Queue">Runs done one after the other.</param>
/// <param name="Stopping">Cancelled when the daemon ends.</param>
internal sealed record ApiContext(
    IReadOnlyDictionary<string, BenchBoard> Boards,
    RunMeans Means,
    RunStarter Starter,
    LiveFeed Feed,
    RunCounts Counts,
    JournalReports Journals,
    TimeProvider Time,
    AccessKeeper Access,
    ActionLog Actions,
    RunQueue Queue,
    CancellationToken Stopping) : IDisposable
{
    /// <summary>Who waits for a document or a budget waits in this queue, and never for a stop.</summary>
    private readonly SemaphoreSlim _turns = new(2);

    private int _streams;

    /// <summary>Places for streams that are taken.</summary>
    public int OpenStreams => Volatile.Read(ref _streams);

    /// <exception cref="ProblemException">There is no such bench.</exception>
    public BenchBoard Bench(string name) => Identifiers.Bench(Boards, name);

    /// <exception cref="ProblemException">There is no such device.</exception>
    public DeviceDefinition Device(string name) => Named(Means.Workshop.Devices, "device", name);

    /// <exception cref="ProblemException">There is no such procedure.</exception>
    public Procedure Procedure(string name) => Named(Means.Workshop.Procedures, "procedure", name);

    /// <summary>Takes a turn at work that keeps a processor busy.</summary>
    public async Task<IDisposable> TakeTurnAsync()
    {
        await _turns.WaitAsync();
        return new Turn(() => _turns.Release());
    }

    /// <summary>Takes a place for a stream; null where there is none.</summary>
    public IDisposable? TryTakeStream(int most)
    {
        if (Interlocked.Increment(ref _streams) <= most)
            return new Turn(() => Interlocked.Decrement(ref _streams));
        Interlocked.Decrement(ref _streams);
        return null;
    }

    public void Dispose()
    {
        Journals.Dispose();
        _turns.Dispose();
    }

    private static T Named<T>(IReadOnlyDictionary<string, T> all, string kind, string name) => all.TryGetValue(name, out T? found)
        ? found
        : throw new ProblemException(
            StatusCodes.Status404NotFound, $"No such {kind}", $"There are: {string.Join(", ", all.Keys.Order(StringComparer.Ordinal))}.");

    private sealed class Turn(Action giveBack) : IDisposable
    {
        public void Dispose() => giveBack();
    }
}
