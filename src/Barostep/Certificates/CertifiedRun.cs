using Barostep.Evaluation;

namespace Barostep.Certificates;

/// <summary>One evaluated run and what is known of its uncertainty.</summary>
/// <param name="Uncertainties">One for each point, in the order of the result's points; null where no uncertainty is stated.</param>
public sealed record CertifiedRun(RunResult Result, IReadOnlyList<StatedUncertainty>? Uncertainties = null);
