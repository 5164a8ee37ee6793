using Barostep.Evaluation;

namespace Barostep.Certificates;

/// <summary>One evaluated run and what is known of its uncertainty.</summary>
/// <param name="Uncertainties">
/// One for each point, in the order of the result's points, null for a point without figures; null where no uncertainty is stated.
/// </param>
public sealed record CertifiedRun(RunResult Result, IReadOnlyList<StatedUncertainty?>? Uncertainties = null)
{
    /// <summary>With the uncertainties of its own budgets; with none where no standard is known.</summary>
    public static CertifiedRun Of(RunResult result) => new(
        result,
        result.Points.All(point => point.Uncertainty is null)
            ? null
            : [.. result.Points.Select(point => point.Uncertainty is { } u ? new StatedUncertainty(u.Value, u.CoverageFactor, u.Probability) : null)]);
}
