using Barostep.Configuration;
using Barostep.Evaluation.Characteristics;
using Barostep.Evaluation.Corrections;
using Barostep.Evaluation.Switching;
using Barostep.Records;

namespace Barostep.Evaluation;

/// <summary>The zero read vented, before and after the series; errors of indication as shares of the span.</summary>
/// <param name="BeforeOfSpan">Null where it was not read or no sample counts.</param>
/// <param name="AfterOfSpan">Null likewise.</param>
/// <param name="ShiftOfSpan">After minus before; null where either is missing.</param>
public sealed record ZeroResult(double? BeforeOfSpan, double? AfterOfSpan, double? ShiftOfSpan);

/// <summary>
/// The straight line through the errors: error(x) = zero error + span error × x, with x = 0 at the lower and 1 at the
/// upper range end. All figures are shares of the span.
/// </summary>
/// <param name="ZeroErrorOfSpan">Error at the lower range end.</param>
/// <param name="SpanErrorOfSpan">Error at the upper range end less that at the lower one.</param>
/// <param name="ZeroUncertaintyOfSpan">Standard uncertainty from the scatter about the line; null with two points.</param>
/// <param name="SpanUncertaintyOfSpan">Standard uncertainty from the scatter about the line; null with two points.</param>
/// <param name="Covariance">Covariance of the two, as a square of shares of span; null with two points.</param>
/// <param name="ResidualDeviationOfSpan">Standard deviation about the line; null with two points.</param>
public sealed record ErrorLine(
    double ZeroErrorOfSpan,
    double SpanErrorOfSpan,
    double? ZeroUncertaintyOfSpan,
    double? SpanUncertaintyOfSpan,
    double? Covariance,
    double? ResidualDeviationOfSpan);

/// <summary>Largest difference of the errors at one nominal among cycles in one direction (ISA-51.1), share of span.</summary>
/// <param name="AscendingOfSpan">Null where no nominal was read twice going up.</param>
/// <param name="DescendingOfSpan">Null where no nominal was read twice coming down.</param>
public sealed record Repeatability(double? AscendingOfSpan, double? DescendingOfSpan);

/// <summary>The result of one run. Always computed from the record, never kept in its place.</summary>
public sealed record RunResult
{
    public required RunRecord Record { get; init; }

    /// <summary>Permissible error of indication, Pa; of a grade, that of its widest part.</summary>
    public required double LimitPascals { get; init; }

    /// <summary>In the order in which they were read.</summary>
    public required IReadOnlyList<PointResult> Points { get; init; }

    public required Conformity Conformity { get; init; }

    /// <summary>Why, one clause each, where the verdict is not <see cref="Conformity.Passed"/>; empty otherwise.</summary>
    public required IReadOnlyList<string> Reasons { get; init; }

    /// <summary>The point of the largest error in magnitude, the first where several share it; null without any figures.</summary>
    public required PointResult? LargestError { get; init; }

    /// <summary>The ascending-descending difference of the largest magnitude, signed, share of span; null without a pair.</summary>
    public required double? LargestHysteresisOfSpan { get; init; }

    public required Repeatability Repeatability { get; init; }

    public required ZeroResult Zero { get; init; }

    /// <summary>Null with fewer than two different pressures.</summary>
    public required ErrorLine? Line { get; init; }

    /// <summary>What was done to the readings before they were compared; nothing where nothing is known.</summary>
    public required RunCorrections Corrections { get; init; }

    /// <summary>The zero and span trims that would centre the errors; null without any figures.</summary>
    public required AdjustmentAdvice? Advice { get; init; }

    /// <summary>Of a pressure switch; null for every other device.</summary>
    public SwitchResult? Switching { get; init; }

    /// <summary>The rule by which the points were judged.</summary>
    public DecisionAgreement Agreement => Record.Agreement;
}
