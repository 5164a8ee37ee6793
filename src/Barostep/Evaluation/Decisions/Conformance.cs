using MathNet.Numerics.Distributions;

namespace Barostep.Evaluation.Decisions;

/// <summary>What is known of a characteristic before it is measured, as a normal distribution (JCGM 106 clause 7.2).</summary>
/// <param name="Mean">In the unit of the measured value.</param>
/// <param name="Deviation">Its standard deviation, above 0.</param>
public sealed record NormalPrior(double Mean, double Deviation);

/// <summary>How probable it is that a characteristic conforms, after it was measured once (JCGM 106 clause 7).</summary>
public static class Conformance
{
    /// <summary>p = Φ((T_U − y)/u) − Φ((T_L − y)/u) (JCGM 106 7.3 and 7.4), of a measured value alone.</summary>
    /// <param name="tolerance">What is permitted.</param>
    /// <param name="value">Measured value y.</param>
    /// <param name="standardUncertainty">u of it; 0 makes the probability 0 or 1.</param>
    public static double Probability(ToleranceInterval tolerance, double value, double standardUncertainty)
    {
        if (!(standardUncertainty >= 0))
            throw new ArgumentOutOfRangeException(nameof(standardUncertainty), standardUncertainty, "an uncertainty is 0 or above");
        if (standardUncertainty == 0)
            return tolerance.Contains(value) ? 1 : 0;
        // From the two tails, so that a probability near 1 keeps the digits of what lacks to it.
        return Math.Max(0, 1 - NonconformanceProbability(tolerance, value, standardUncertainty));
    }

    /// <summary>1 − <see cref="Probability"/>: the specific consumer's risk of accepting (JCGM 106 9.3.2), to full digits.</summary>
    public static double NonconformanceProbability(ToleranceInterval tolerance, double value, double standardUncertainty)
    {
        if (standardUncertainty == 0)
            return tolerance.Contains(value) ? 0 : 1;
        double below = tolerance.Lower is { } lower ? Normal.CDF(0, 1, (lower - value) / standardUncertainty) : 0;
        double above = tolerance.Upper is { } upper ? Normal.CDF(0, 1, (value - upper) / standardUncertainty) : 0;
        return Math.Min(1, below + above);
    }

    /// <summary>What is known after measuring where something was known before (JCGM 106 7.2.2): the weighted mean.</summary>
    public static NormalPrior Posterior(NormalPrior prior, double value, double standardUncertainty)
    {
        ArgumentNullException.ThrowIfNull(prior);
        double a = prior.Deviation * prior.Deviation;
        double b = standardUncertainty * standardUncertainty;
        return new NormalPrior(((prior.Mean * b) + (value * a)) / (a + b), prior.Deviation * standardUncertainty / Math.Sqrt(a + b));
    }

    /// <summary>Test uncertainty ratio: tolerance half-width over the expanded uncertainty at 95 %. No ratio of accuracies.</summary>
    public static double TestUncertaintyRatio(ToleranceInterval tolerance, double expandedUncertainty) => tolerance.HalfWidth / expandedUncertainty;
}
