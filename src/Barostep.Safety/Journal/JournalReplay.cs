using System.Text.Json;

namespace Barostep.Safety;

/// <summary>The first place where the kernel of today decides otherwise than the journal says.</summary>
/// <param name="Sequence">The entry's number.</param>
/// <param name="Tick">The cycle's number; 0 where the entry is not a tick.</param>
/// <param name="Field">The member that differs.</param>
/// <param name="Then">As journalled.</param>
/// <param name="Now">As decided anew.</param>
public sealed record ReplayDifference(long Sequence, long Tick, string Field, string Then, string Now);

/// <summary>What a replay found.</summary>
/// <param name="Replayed">Ticks decided anew and found equal.</param>
/// <param name="NotReplayed">Ticks without known limits and state before them: after a gap, until the next state entry.</param>
/// <param name="Difference">The first difference, at which the replay ended; null where all are equal.</param>
/// <param name="Problem">An entry that this version cannot read; empty where all could be read.</param>
public sealed record ReplayResult(long Replayed, long NotReplayed, ReplayDifference? Difference, string Problem)
{
    /// <summary>Whether every tick was replayed and found equal.</summary>
    public bool IsComplete => Difference is null && NotReplayed == 0 && Problem.Length == 0;
}

/// <summary>Decides every journalled cycle anew, from the journalled limits and state, and compares bit for bit.</summary>
public sealed class JournalReplay
{
    private SafetyLimits? _limits;
    private SafetyState? _state;
    private long _replayed;
    private long _notReplayed;

    private JournalReplay()
    {
    }

    /// <summary>Replays entries in their order, as from <see cref="JournalReader.ReadAll"/>; files of one chain one after another.</summary>
    public static ReplayResult Run(IEnumerable<JournalEntry> entries)
    {
        JournalReplay replay = new();
        foreach (JournalEntry entry in entries)
        {
            try
            {
                if (replay.Take(entry) is { } difference)
                    return replay.Result(difference, "");
            }
            catch (Exception problem) when (IsUnreadable(problem))
            {
                return replay.Result(null, $"Entry {entry.Sequence} cannot be read by this version of the program: {problem.Message}");
            }
        }

        return replay.Result(null, "");
    }

    internal static bool IsUnreadable(Exception problem) =>
        problem is JsonException or KeyNotFoundException or InvalidOperationException or FormatException or ArgumentException;

    private ReplayResult Result(ReplayDifference? difference, string problem) => new(_replayed, _notReplayed, difference, problem);

    private ReplayDifference? Take(JournalEntry entry)
    {
        switch (entry.Kind)
        {
            case JournalKind.Tick:
                return TakeTick(entry);
            case JournalKind.Limits:
                _limits = ((LimitsPayload)entry.ReadPayload()).Limits;
                return null;
            case JournalKind.State:
                return TakeState(entry, ((StatePayload)entry.ReadPayload()).State);
            case JournalKind.Gap:
                // Cycles went by unseen, so the state after them is unknown.
                _state = null;
                return null;
            case JournalKind.Open:
                // A new file continues the state of the old one; a new start of the program brings a state of its own.
                if (((OpenPayload)entry.ReadPayload()).FreshStart)
                    _state = null;
                return null;
            case JournalKind.Raise:
            case JournalKind.Trip:
            case JournalKind.Acknowledge:
            case JournalKind.Ceiling:
            case JournalKind.RunStart:
            case JournalKind.RunEnd:
            case JournalKind.Note:
            case JournalKind.Stop:
            case JournalKind.Rotate:
                return null;
            default:
                throw new InvalidOperationException($"{entry.Kind} is no kind of entry.");
        }
    }

    private ReplayDifference? TakeTick(JournalEntry entry)
    {
        if (_limits is null || _state is not { } state)
        {
            _notReplayed++;
            return null;
        }

        Observation seen = entry.ReadObservation();
        RecordedDecision then = entry.ReadDecision();
        RecordedDecision now = RecordedDecision.Of(SafetyKernel.Decide(state, seen, _limits, out SafetyState next));
        if (then.FirstDifference(now) is { } difference)
            return new ReplayDifference(entry.Sequence, seen.Tick, difference.Field, difference.Then, difference.Now);
        _state = next;
        _replayed++;
        return null;
    }

    private ReplayDifference? TakeState(JournalEntry entry, SafetyState then)
    {
        if (_state is { } now && now != then)
            return new ReplayDifference(entry.Sequence, 0, "state", Text(then), Text(now));
        _state = then;
        return null;
    }

    private static string Text(SafetyState state) => JsonSerializer.Serialize(new StatePayload(state), JournalJson.Default.StatePayload);
}
