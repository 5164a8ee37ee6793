using MathNet.Numerics.Distributions;

namespace Barostep.Evaluation.Decisions;

/// <summary>How a measured value with its uncertainty becomes a decision; chosen before the measurement.</summary>
/// <remarks>
/// <para>With tolerance limit T, guard band w and acceptance limit A = T − w (ILAC-G8:09/2019; JCGM 106 clause 8).</para>
/// <para>Tie rule: a value on a boundary belongs to the zone nearer to conformity. A value counts as on a boundary when it
/// differs from it by no more than 1e-10 of the tolerance's size, which is what converting a unit to and fro can leave.</para>
/// </remarks>
public abstract record DecisionRule
{
    private DecisionRule()
    {
    }

    /// <summary>The guard band w; infinite where no value can be accepted.</summary>
    /// <param name="standardUncertainty">u of the measured value.</param>
    /// <param name="expandedUncertainty">U at about 95 %.</param>
    public abstract double GuardBand(ToleranceInterval tolerance, double standardUncertainty, double expandedUncertainty);

    /// <summary>Accept up to the limit itself: w = 0 (ILAC-G8 4.2.1). At the limit every second acceptance is wrong.</summary>
    public sealed record PlainLimit : DecisionRule
    {
        public override double GuardBand(ToleranceInterval tolerance, double standardUncertainty, double expandedUncertainty) => 0;
    }

    /// <summary>Stay away from the limit by a multiple of U: w = r·U (ILAC-G8 4.2.2, with r = 1 as its usual case).</summary>
    /// <param name="Multiple">r; negative accepts what is not shown to be outside.</param>
    public sealed record KeepAway(double Multiple = 1) : DecisionRule
    {
        public override double GuardBand(ToleranceInterval tolerance, double standardUncertainty, double expandedUncertainty) => Multiple * expandedUncertainty;
    }

    /// <summary>Accept where this very device is outside with at most a given probability (JCGM 106 8.3.2, 9.3.2).</summary>
    /// <remarks>
    /// With one limit w = z·u, Φ(z) = 1 − risk. With two, w is the least with which the value at the acceptance limit has
    /// both tails together at or below the risk.
    /// </remarks>
    public sealed record RiskOfThisDevice(double MostFalseAccept) : DecisionRule
    {
        public override double GuardBand(ToleranceInterval tolerance, double standardUncertainty, double expandedUncertainty)
        {
            double oneLimit = -Normal.InvCDF(0, 1, MostFalseAccept) * standardUncertainty;
            if (tolerance.Lower is null || tolerance.Upper is not { } upper)
                return oneLimit;
            double RiskWith(double guardBand) => Conformance.NonconformanceProbability(tolerance, upper - guardBand, standardUncertainty);
            double low = oneLimit;
            double high = tolerance.HalfWidth;
            if (standardUncertainty == 0)
                return 0;
            if (RiskWith(high) > MostFalseAccept)
                return double.PositiveInfinity;
            for (double middle = (low + high) / 2; middle > low && middle < high; middle = (low + high) / 2)
            {
                if (RiskWith(middle) > MostFalseAccept)
                    low = middle;
                else
                    high = middle;
            }

            return high;
        }
    }

    /// <summary>Accept so that among all devices of a kind at most a given share is wrongly accepted (JCGM 106 9.5).</summary>
    public sealed record RiskOfAllDevices(double MostFalseAccept, NormalPrior Prior) : DecisionRule
    {
        public override double GuardBand(ToleranceInterval tolerance, double standardUncertainty, double expandedUncertainty) =>
            GlobalRisk.GuardBandFor(MostFalseAccept, Prior, standardUncertainty, tolerance);
    }

    /// <summary>Pass, conditional pass, conditional fail and fail, with w = r·U on both sides of the limit (ILAC-G8 4.2.3).</summary>
    public sealed record FourZones(double Multiple = 1) : DecisionRule
    {
        public override double GuardBand(ToleranceInterval tolerance, double standardUncertainty, double expandedUncertainty) => Multiple * expandedUncertainty;
    }
}
