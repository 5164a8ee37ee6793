using Barostep.Evaluation.Decisions;
using Barostep.Evaluation.Switching;
using Barostep.Evaluation.Uncertainty;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Evaluation;

/// <summary>What can be said of one point, or of a whole run, against the tolerance.</summary>
public enum Conformity
{
    /// <summary>Too little that counts was read to say either.</summary>
    NotDecided,
    Passed,
    Failed,
}

/// <summary>What a 4–20 mA loop says besides its value (NAMUR NE 43).</summary>
public enum LoopSignal
{
    /// <summary>Measuring information, 3.8 mA to 20.5 mA; also every output that is no 4–20 mA loop.</summary>
    Measuring,

    /// <summary>Between the measuring information and the fault levels: the value is at its stop.</summary>
    Saturated,

    /// <summary>At or below 3.6 mA, or at or above 21.0 mA: a fault is told, not a pressure.</summary>
    Fault,
}

/// <summary>The figures of one point, from its samples that count; all in the device's own reference.</summary>
/// <param name="Count">Samples that count, at least 1.</param>
/// <param name="ReferencePascals">Mean reference value at the moments of the indications, Pa.</param>
/// <param name="IndicationPascals">Mean indication, Pa; through the ideal transfer function for an electrical output.</param>
/// <param name="Output">Mean output, A or V; null for a digital device.</param>
/// <param name="ErrorPascals">Mean error of indication (indication minus reference, sample by sample), Pa.</param>
/// <param name="ErrorOfSpan">The same as a share of the span.</param>
/// <param name="ReferenceDeviationPascals">Experimental standard deviation of one reference value, Pa; null for one sample.</param>
/// <param name="IndicationDeviationPascals">Experimental standard deviation of one indication, Pa; null for one sample.</param>
/// <param name="ErrorDeviationPascals">Experimental standard deviation of one error, Pa; null for one sample.</param>
public sealed record PointValues(
    int Count,
    double ReferencePascals,
    double IndicationPascals,
    double? Output,
    double ErrorPascals,
    double ErrorOfSpan,
    double? ReferenceDeviationPascals,
    double? IndicationDeviationPascals,
    double? ErrorDeviationPascals);

/// <summary>One point evaluated.</summary>
/// <param name="Index">Position in the whole run, from 1.</param>
/// <param name="Cycle">From 1.</param>
/// <param name="NominalPascals">Nominal pressure in the device's own reference, Pa.</param>
/// <param name="Values">The figures; null where no sample counts.</param>
/// <param name="HysteresisOfSpan">
/// Descending minus ascending error at this nominal in this cycle, as a share of span; null where the point has no
/// counterpart. Both points of a pair carry it.
/// </param>
/// <param name="Signal">The worst that the loop told in any sample that counts.</param>
/// <param name="Conformity">By the agreed rule; see <see cref="RunEvaluation"/>.</param>
/// <param name="Marks">As recorded.</param>
public sealed record PointResult(
    int Index,
    int Cycle,
    SeriesDirection Direction,
    double NominalPascals,
    PointValues? Values,
    double? HysteresisOfSpan,
    LoopSignal Signal,
    Conformity Conformity,
    PointMarks Marks)
{
    /// <summary>Permissible error here, as a share of the span.</summary>
    public required double LimitOfSpan { get; init; }

    /// <summary>Of a pressure switch: where and how its contact changed; null for other devices, and where it did not.</summary>
    public SwitchChange? Change { get; init; }

    /// <summary>Of a pressure switch: the ramp ended without a change.</summary>
    public bool DidNotSwitch { get; init; }

    /// <summary>Of the error, in Pa; null where no pressure standard is known, or before the whole run is evaluated.</summary>
    public UncertaintyBudget? Budget { get; init; }

    /// <summary>U of the error at <see cref="RunBudgets.Probability"/>, in Pa; null with the budget.</summary>
    public ExpandedUncertainty? Uncertainty { get; init; }

    /// <summary>What the agreed rule says of the error with its uncertainty, in Pa; null without one.</summary>
    public ToleranceDecision? Decision { get; init; }

    /// <summary>Whether the rule needs the uncertainty, which is known only once the whole run is evaluated.</summary>
    public bool IsOpen { get; init; }
}
