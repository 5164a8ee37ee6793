using System.Globalization;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>An expanded uncertainty with what it was made from.</summary>
/// <param name="Probability">Coverage probability.</param>
/// <param name="DegreesOfFreedom">Effective degrees of freedom, cut to a whole number; infinite where all are.</param>
/// <param name="CoverageFactor">k = t of the probability and degrees of freedom.</param>
/// <param name="Value">U = k × u, in the output's unit.</param>
public sealed record ExpandedUncertainty(double Probability, double DegreesOfFreedom, double CoverageFactor, double Value);

/// <summary>A budget by the law of propagation of uncertainty (GUM 5.1.2, with correlations 5.2.2, and annex G.4).</summary>
public sealed record UncertaintyBudget
{
    /// <summary>Above this share of the dominant one, the others count (EA-4/02 S9.14 and S10.13).</summary>
    public const double DominanceRatio = 0.3;

    private readonly CorrelationMatrix _correlated;

    /// <param name="inputs">Names differ where correlations name them.</param>
    /// <param name="correlations">None: all inputs are independent.</param>
    /// <param name="higherOrderVariance">What the second-order terms add to the variance; see <see cref="MeasurementModel.HigherOrderVariance"/>.</param>
    /// <exception cref="ArgumentException">An input or the correlations are impossible.</exception>
    public UncertaintyBudget(IReadOnlyList<UncertaintyInput> inputs, IReadOnlyList<Correlation>? correlations = null, double higherOrderVariance = 0)
    {
        foreach (UncertaintyInput input in inputs)
            Check(input);
        if (!double.IsFinite(higherOrderVariance))
            throw new ArgumentException("the second-order terms are not finite");
        Inputs = inputs;
        Correlations = correlations ?? [];
        HigherOrderVariance = higherOrderVariance;
        _correlated = CorrelationMatrix.Of(inputs, Correlations);
        double variance = higherOrderVariance + CorrelationVariance() + inputs.Sum(input => input.Contribution * input.Contribution);
        // Fully correlated inputs can cancel, and rounding can then leave a hair below 0; second-order terms can be negative.
        Combined = Math.Sqrt(Math.Max(0, variance));
        EffectiveDegreesOfFreedom = WelchSatterthwaite();
    }

    public IReadOnlyList<UncertaintyInput> Inputs { get; }

    public IReadOnlyList<Correlation> Correlations { get; }

    /// <summary>Added to the variance by second-order terms; 0 where they were left out.</summary>
    public double HigherOrderVariance { get; }

    /// <summary>Combined standard uncertainty, in the output's unit.</summary>
    public double Combined { get; }

    /// <summary>ν = u⁴ / Σ (c·u)⁴/ν, not cut; infinite where no input has a finite one.</summary>
    /// <remarks>GUM G.4.1 holds for independent inputs; with correlations among inputs of few degrees of freedom it is an approximation.</remarks>
    public double EffectiveDegreesOfFreedom { get; }

    /// <summary>Whether a correlated input has finite degrees of freedom, so that the effective ones are approximate.</summary>
    public bool DegreesOfFreedomAreApproximate => Correlations.Any(correlation =>
        correlation.Coefficient != 0
        && Inputs.Any(input => (input.Name == correlation.First || input.Name == correlation.Second) && double.IsFinite(input.DegreesOfFreedom)));

    /// <summary>The rectangular input beside which all others together are small (EA-4/02 S9.14); null where there is none.</summary>
    public UncertaintyInput? DominantRectangular
    {
        get
        {
            UncertaintyInput? largest = Inputs.Where(input => input.Distribution == Distribution.Rectangular).MaxBy(input => Math.Abs(input.Contribution));
            if (largest is null || largest.Contribution == 0)
                return null;
            double others = (Combined * Combined) - (largest.Contribution * largest.Contribution);
            return Math.Sqrt(Math.Max(0, others)) < DominanceRatio * Math.Abs(largest.Contribution) ? largest : null;
        }
    }

    internal CorrelationMatrix Matrix => _correlated;

    /// <summary>The share of the combined variance that an input makes, 0 to 1; 0 in a budget without any uncertainty.</summary>
    /// <remarks>With correlations the shares of the inputs alone need not add up to 1.</remarks>
    public double ShareOf(UncertaintyInput input) =>
        Combined == 0 ? 0 : input.Contribution * input.Contribution / (Combined * Combined);

    /// <summary>What a correlation adds to the variance, 2·c₁·c₂·u₁·u₂·r (GUM 5.2.2).</summary>
    public double VarianceOf(Correlation correlation) =>
        2 * Named(correlation.First).Contribution * Named(correlation.Second).Contribution * correlation.Coefficient;

    /// <summary>U for a coverage probability.</summary>
    /// <remarks>The degrees of freedom are cut to the next lower whole number before t is taken (GUM G.4.1), at least 1.</remarks>
    public ExpandedUncertainty Expanded(double probability)
    {
        double whole = Math.Max(1, Math.Floor(EffectiveDegreesOfFreedom));
        double factor = Coverage.Factor(probability, whole);
        return new ExpandedUncertainty(probability, whole, factor, factor * Combined);
    }

    /// <summary>
    /// U for about 95 % after EA-4/02: k = 1.65 where one rectangular input dominates (S9.14: a rectangular distribution
    /// holds 95 % within 0.95·√3 standard deviations), else t for 95.45 % and so k = 2.00 with many degrees of freedom.
    /// </summary>
    public ExpandedUncertainty ExpandedAfterEa402() => DominantRectangular is null
        ? Expanded(Coverage.TwoSigma)
        : new ExpandedUncertainty(0.95, double.PositiveInfinity, Coverage.DominantRectangularFactor, Coverage.DominantRectangularFactor * Combined);

    private static void Check(UncertaintyInput input)
    {
        if (!(input.StandardUncertainty >= 0) || !double.IsFinite(input.Contribution))
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture, $"{input.Name}: the standard uncertainty is {input.StandardUncertainty}; write a number from 0 upwards"));
        if (!(input.DegreesOfFreedom > 0))
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture, $"{input.Name}: the degrees of freedom are {input.DegreesOfFreedom}; write a number above 0"));
    }

    private UncertaintyInput Named(string name) => Inputs.First(input => input.Name == name);

    private double CorrelationVariance() => Correlations.Sum(VarianceOf);

    // Relative to the combined uncertainty, so that fourth powers of small numbers do not vanish.
    private double WelchSatterthwaite()
    {
        double sum = 0;
        foreach (UncertaintyInput input in Inputs)
        {
            double share = ShareOf(input);
            sum += share * share / input.DegreesOfFreedom;
        }

        return sum == 0 ? double.PositiveInfinity : 1 / sum;
    }
}
