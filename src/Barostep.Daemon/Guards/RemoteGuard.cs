using Barostep.Configuration;
using Barostep.Control;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Daemon.Guards;

/// <summary>The guard has died, hangs, or no longer listens.</summary>
internal sealed class GuardLostException(string message) : Exception(message);

/// <summary>The guard half in another process, as a run sees it.</summary>
/// <param name="client">The connection to it.</param>
/// <param name="bench">The bench.</param>
/// <param name="filesHash">Hash of the files that limit the run.</param>
/// <param name="simulated">Whether the run is recorded as one of a simulated bench.</param>
internal sealed class RemoteGuard(GuardClient client, BenchDefinition bench, string filesHash, bool simulated) : IGuard
{
    /// <summary>A guard that has been silent for so long hangs; its relay has let go long before.</summary>
    private const long LostAfterMicros = 2_000_000;

    private uint _sentSequence;
    private long _seenTick;

    public IReadOnlyDictionary<string, string> Identities
    {
        get
        {
            GuardReport told = client.Snapshot?.Guard ?? default;
            var identities = new Dictionary<string, string> { [bench.Reference.Port] = told.ReferenceIdentity ?? string.Empty };
            if (bench.Source is { } source)
                identities[source.Port] = told.SourceIdentity ?? string.Empty;
            return identities;
        }
    }

    /// <summary>Number of the journal file that the guard writes.</summary>
    public long JournalFile => client.Snapshot?.Guard.JournalFile ?? 0;

    /// <summary>Whether a snapshot came that no cycle has seen yet.</summary>
    public bool HasNews => !client.IsConnected || (client.Snapshot is { } told && told.Bench.Tick != _seenTick);

    public uint BeginRun(JournalStamp stamp, RunStartPayload run)
    {
        ReplyRecord? reply = client.Ask(number => new BeginRunRecord(number, run.Run, run.Device, run.Procedure, run.Who, filesHash, simulated).Write);
        return reply switch
        {
            null => throw new RefusedException("the guard did not answer whether the run may begin"),
            { Accepted: false } => throw new RefusedException($"the guard refused the run: {reply.Value.Message}"),
            _ => reply.Value.Epoch,
        };
    }

    public BenchSnapshot Cycle(in CycleClock clock, in Intent intent, in PersonRequest person)
    {
        if (person.Kind is PersonRequestKind.Stop or PersonRequestKind.Dump)
            client.Send(new VentRecord(person.Kind == PersonRequestKind.Dump).Write);
        if (!client.IsConnected)
            throw new GuardLostException("the guard has ended");
        BenchSnapshot bench = client.Snapshot?.Bench ?? new BenchSnapshot { NowMicros = clock.NowMicros };
        if (clock.NowMicros - bench.NowMicros > LostAfterMicros)
            throw new GuardLostException("the guard has stopped telling what it sees");
        _seenTick = bench.Tick;
        return bench;
    }

    /// <summary>Passes on what the run wants since its last step.</summary>
    public void Tell(in Intent intent)
    {
        if (intent.Sequence == _sentSequence)
            return;
        _sentSequence = intent.Sequence;
        client.Send(new IntentRecord(intent).Write);
    }

    public string EndRun(JournalStamp stamp, RunEndPayload run) =>
        client.Ask(number => new EndRunRecord(number, run.Run, run.Outcome).Write)?.JournalHead ?? string.Empty;
}
