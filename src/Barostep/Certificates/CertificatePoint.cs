using Barostep.Evaluation;
using Barostep.Evaluation.Decisions;
using Barostep.Records;

namespace Barostep.Certificates;

/// <summary>
/// The figures of a point rounded as every format shows them, in the item's unit; each carries its decimals.
/// </summary>
/// <param name="Output">In the item's output unit; null for a digital device.</param>
/// <param name="Uncertainty">U, to two significant digits; null where none is stated.</param>
/// <param name="Limit">Permissible error, ±.</param>
/// <param name="Acceptance">Acceptance limit, ±, where the rule has a guard band; null where it is the limit itself, or nothing passes.</param>
public sealed record ShownFigures(
    decimal Nominal,
    decimal? Reference,
    decimal? Output,
    decimal? Indication,
    decimal? Error,
    decimal? ErrorPercentOfSpan,
    decimal? Uncertainty,
    decimal? CoverageFactor,
    decimal Limit,
    decimal? Acceptance);

/// <summary>One point of a series.</summary>
/// <param name="Index">Position in the run, from 1.</param>
/// <param name="Cycle">From 1.</param>
/// <param name="NominalPascals">In the item's own reference, Pa, as the ones that follow.</param>
/// <param name="ReferencePascals">Null where no reading of the point counts.</param>
/// <param name="Output">A or V; null for a digital device, or where no reading counts.</param>
/// <param name="LimitPascals">Permissible error of indication, ±.</param>
/// <param name="Uncertainty">Null where none is stated.</param>
/// <param name="Zone">Where the rule tells conditional statements apart; null without an uncertainty.</param>
/// <param name="Remarks">What was unusual, in words; empty for most.</param>
public sealed record CertificatePoint(
    int Index,
    int Cycle,
    SeriesDirection Direction,
    double NominalPascals,
    double? ReferencePascals,
    double? IndicationPascals,
    double? Output,
    double? ErrorPascals,
    double LimitPascals,
    StatedUncertainty? Uncertainty,
    Conformity Conformity,
    DecisionZone? Zone,
    IReadOnlyList<string> Remarks,
    ShownFigures Shown);
