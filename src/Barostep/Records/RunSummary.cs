using Barostep.Evaluation;

namespace Barostep.Records;

/// <summary>One line of a list of runs.</summary>
/// <param name="Outcome"><see cref="RunOutcome.Incomplete"/> for a run whose ending was never written.</param>
/// <param name="Points">Points read.</param>
/// <param name="Conformity">As told when the run ended; <see cref="Conformity.NotDecided"/> where it never did.</param>
/// <param name="LargestErrorOfSpan">Signed; null without any figures or without an ending.</param>
public sealed record RunSummary(
    string Id,
    DateTimeOffset StartedUtc,
    string Bench,
    string Device,
    string Manufacturer,
    string Model,
    string SerialNumber,
    string Procedure,
    bool Simulated,
    RunOutcome Outcome,
    int Points,
    Conformity Conformity,
    double? LargestErrorOfSpan)
{
    /// <summary>The plant's own tag; empty where there is none.</summary>
    public string Tag { get; init; } = string.Empty;

    /// <summary>Name of the job; null where the run was made for none.</summary>
    public string? Job { get; init; }

    public JobStage? Stage { get; init; }

    /// <summary>Why it ended as it did; empty where it was completed.</summary>
    public string OutcomeReason { get; init; } = string.Empty;

    public DeviceIdentity Identity => new(Manufacturer, Model, SerialNumber);
}
