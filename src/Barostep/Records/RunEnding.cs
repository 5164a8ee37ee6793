namespace Barostep.Records;

/// <summary>What is known of a run only when it ends. The members are those of <see cref="RunRecord"/>.</summary>
public sealed record RunEnding(
    DateTimeOffset EndedUtc,
    RunOutcome Outcome,
    string OutcomeReason,
    bool VentConfirmed,
    double HighestPascals,
    string JournalHead)
{
    /// <summary>By role, those that were told after the run had begun.</summary>
    public IReadOnlyDictionary<string, string> Instruments { get; init; } = new Dictionary<string, string>();

    public static RunEnding Of(RunRecord record) => new(
        record.EndedUtc,
        record.Outcome,
        record.OutcomeReason,
        record.VentConfirmed,
        record.HighestPascals,
        record.JournalHead)
    {
        Instruments = record.Instruments,
    };
}
