using Barostep.Safety;

namespace Barostep.Control;

/// <summary>The guard half as a run sees it: it takes an intent and gives a snapshot, in this process or in another.</summary>
public interface IGuard
{
    /// <summary>What the instruments of its lines said they are, by port.</summary>
    IReadOnlyDictionary<string, string> Identities { get; }

    /// <summary>Journals that a run begins.</summary>
    /// <returns>The epoch that its intents carry.</returns>
    uint BeginRun(JournalStamp stamp, RunStartPayload run);

    /// <summary>One cycle: what is asked for goes in, the newest sight of the bench comes out.</summary>
    /// <param name="clock">Now.</param>
    /// <param name="intent">What the sequencer half asks for.</param>
    /// <param name="person">What a person asks for, shown once.</param>
    BenchSnapshot Cycle(in CycleClock clock, in Intent intent, in PersonRequest person);

    /// <summary>Journals that a run ended.</summary>
    /// <returns>The hash of the journal's newest entry.</returns>
    string EndRun(JournalStamp stamp, RunEndPayload run);
}
