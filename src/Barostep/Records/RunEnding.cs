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
    public static RunEnding Of(RunRecord record) => new(
        record.EndedUtc,
        record.Outcome,
        record.OutcomeReason,
        record.VentConfirmed,
        record.HighestPascals,
        record.JournalHead);
}
