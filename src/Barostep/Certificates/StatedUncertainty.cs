namespace Barostep.Certificates;

/// <summary>The expanded uncertainty of the error of indication at one point.</summary>
/// <param name="ExpandedPascals">U, Pa; above 0.</param>
/// <param name="CoverageFactor">k, at least 1.</param>
/// <param name="Probability">Coverage probability, 0 to 1.</param>
public sealed record StatedUncertainty(double ExpandedPascals, double CoverageFactor, double Probability);
