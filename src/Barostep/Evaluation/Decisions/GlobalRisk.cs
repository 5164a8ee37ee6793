using MathNet.Numerics.Distributions;
using MathNet.Numerics.Integration;

namespace Barostep.Evaluation.Decisions;

/// <summary>Probability of a wrong decision over all devices of a kind, before any is measured (JCGM 106:2012 clause 9.5).</summary>
/// <param name="FalseAccept">Global consumer's risk: does not conform and is accepted.</param>
/// <param name="FalseReject">Global producer's risk: conforms and is rejected.</param>
/// <param name="Nonconforming">Share that does not conform at all, accepted or not.</param>
public sealed record GlobalRisk(double FalseAccept, double FalseReject, double Nonconforming)
{
    // Beyond nine standard deviations lies 1e-19.
    private const int Reach = 9;
    private const int PointsPerPanel = 20;

    /// <summary>
    /// False accept = ∫ outside T of g(x)·P(y in A | x) dx and false reject = ∫ inside T of g(x)·(1 − P(y in A | x)) dx, with
    /// x ~ N(prior) and y ~ N(x, u), by Gauss-Legendre panels that end at every limit.
    /// </summary>
    /// <param name="measurementUncertainty">Standard uncertainty u of the measurement, above 0.</param>
    public static GlobalRisk Of(NormalPrior prior, double measurementUncertainty, ToleranceInterval tolerance, ToleranceInterval acceptance)
    {
        ArgumentNullException.ThrowIfNull(prior);
        if (!(prior.Deviation > 0) || !(measurementUncertainty > 0))
            throw new ArgumentOutOfRangeException(nameof(measurementUncertainty), "both standard deviations are above 0");
        double[] ends = Ends(prior, measurementUncertainty, tolerance, acceptance);
        double falseAccept = 0;
        double falseReject = 0;
        for (int i = 1; i < ends.Length; i++)
        {
            bool conforms = tolerance.Contains((ends[i - 1] + ends[i]) / 2);
            double part = GaussLegendreRule.Integrate(
                x => Normal.PDF(prior.Mean, prior.Deviation, x) * (conforms ? 1 - Accepted(x) : Accepted(x)), ends[i - 1], ends[i], PointsPerPanel);
            if (conforms)
                falseReject += part;
            else
                falseAccept += part;
        }

        return new GlobalRisk(falseAccept, falseReject, Conformance.NonconformanceProbability(tolerance, prior.Mean, prior.Deviation));

        double Accepted(double x) => acceptance.IsEmpty ? 0 : Conformance.Probability(acceptance, x, measurementUncertainty);
    }

    /// <summary>The least guard band, 0 or above, with which the false accepts stay at or below a share.</summary>
    /// <remarks>
    /// The risk falls as the guard band grows. With two limits it never has to exceed the half-width, where nothing is
    /// accepted; with one limit it is sought up to nine standard deviations of prior and measurement together.
    /// </remarks>
    public static double GuardBandFor(double mostFalseAccept, NormalPrior prior, double measurementUncertainty, ToleranceInterval tolerance)
    {
        ArgumentNullException.ThrowIfNull(prior);
        double low = 0;
        if (RiskWith(low) <= mostFalseAccept)
            return low;
        double high = double.IsInfinity(tolerance.HalfWidth) ? Reach * (prior.Deviation + measurementUncertainty) : tolerance.HalfWidth;
        for (double middle = (low + high) / 2; middle > low && middle < high && high - low > 1e-12 * high; middle = (low + high) / 2)
        {
            if (RiskWith(middle) > mostFalseAccept)
                low = middle;
            else
                high = middle;
        }

        return high;

        double RiskWith(double guardBand) => Of(prior, measurementUncertainty, tolerance, tolerance.Guarded(guardBand)).FalseAccept;
    }

    private static double[] Ends(NormalPrior prior, double measurementUncertainty, ToleranceInterval tolerance, ToleranceInterval acceptance)
    {
        double from = prior.Mean - (Reach * prior.Deviation);
        double to = prior.Mean + (Reach * prior.Deviation);
        SortedSet<double> ends = [];
        for (int k = -Reach; k <= Reach; k++)
            ends.Add(prior.Mean + (k * prior.Deviation));
        foreach (double limit in new[] { tolerance.Lower, tolerance.Upper, acceptance.Lower, acceptance.Upper }.OfType<double>())
        {
            for (int k = -Reach; k <= Reach; k++)
                ends.Add(limit + (k * measurementUncertainty));
        }

        return [.. ends.Where(end => end >= from && end <= to)];
    }
}
