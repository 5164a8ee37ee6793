using System.Text.Json;

namespace Barostep.Safety;

/// <summary>When an entry was made.</summary>
/// <param name="NowMicros">Monotonic clock, µs.</param>
/// <param name="WallMillis">Wall clock, ms since 1970 UTC. A label: nothing is decided or ordered by it.</param>
public readonly record struct JournalStamp(long NowMicros, long WallMillis);

/// <summary>Where a chain stands: the number and hash of its newest entry.</summary>
/// <param name="Sequence">0 before the first entry.</param>
/// <param name="Hash">64 lower-case hexadecimal digits; zeros before the first entry.</param>
public readonly record struct JournalHead(long Sequence, string Hash)
{
    public static readonly JournalHead Genesis = new(0, new string('0', 64));
}

/// <summary>One intact entry as read back.</summary>
/// <param name="Sequence">Its number, from 1, without gaps across files.</param>
/// <param name="Stamp">When it was made.</param>
/// <param name="Kind">What it tells.</param>
/// <param name="Payload">Its contents, undecoded.</param>
/// <param name="PreviousHash">Hash of the entry before it.</param>
/// <param name="Hash">SHA-256 of its own line up to the hash.</param>
/// <param name="Offset">Byte offset of its line in the file.</param>
public sealed record JournalEntry(
    long Sequence,
    JournalStamp Stamp,
    JournalKind Kind,
    JsonElement Payload,
    string PreviousHash,
    string Hash,
    long Offset)
{
    public JournalHead Head => new(Sequence, Hash);

    /// <summary>The observation of a tick.</summary>
    public Observation ReadObservation() => TickFormat.ReadObservation(Stamp, Payload);

    /// <summary>The decision of a tick.</summary>
    public RecordedDecision ReadDecision() => TickFormat.ReadDecision(Payload);

    /// <summary>The payload of any other kind.</summary>
    /// <exception cref="JsonException">It is not one of its kind: another version of the program wrote it.</exception>
    public JournalPayload ReadPayload() => JournalJson.Read(Kind, Payload);
}

/// <summary>What is wrong with a journal.</summary>
public enum JournalFaultKind
{
    /// <summary>The file ends within an entry, as after a power cut; everything before it is intact.</summary>
    TornTail,

    /// <summary>An entry was changed, dropped, inserted or moved.</summary>
    Corruption,

    /// <summary>The entries are sound but end before the signed head, or are not the ones that were signed.</summary>
    MissingTail,
}

/// <summary>The first thing wrong with a journal.</summary>
/// <param name="Kind">What sort of fault.</param>
/// <param name="Sequence">The number of the entry that is not intact.</param>
/// <param name="Offset">Where its line begins: cutting here keeps every intact entry.</param>
/// <param name="Message">One sentence for people.</param>
public sealed record JournalFault(JournalFaultKind Kind, long Sequence, long Offset, string Message);
