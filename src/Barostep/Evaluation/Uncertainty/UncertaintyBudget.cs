namespace Barostep.Evaluation.Uncertainty;

/// <summary>An expanded uncertainty with what it was made from.</summary>
/// <param name="Probability">Coverage probability.</param>
/// <param name="DegreesOfFreedom">Effective degrees of freedom, cut to a whole number; infinite where all are.</param>
/// <param name="CoverageFactor">k = t of the probability and degrees of freedom.</param>
/// <param name="Value">U = k × u, in the output's unit.</param>
public sealed record ExpandedUncertainty(double Probability, double DegreesOfFreedom, double CoverageFactor, double Value);

/// <summary>A budget of uncorrelated inputs by the law of propagation, first order (GUM 5.1.2 and annex G.4).</summary>
public sealed record UncertaintyBudget
{
    public UncertaintyBudget(IReadOnlyList<UncertaintyInput> inputs)
    {
        foreach (UncertaintyInput input in inputs)
        {
            if (!(input.StandardUncertainty >= 0) || !double.IsFinite(input.Contribution))
                throw new ArgumentException($"{input.Name}: the standard uncertainty is {input.StandardUncertainty}; write a number from 0 upwards", nameof(inputs));
            if (!(input.DegreesOfFreedom > 0))
                throw new ArgumentException($"{input.Name}: the degrees of freedom are {input.DegreesOfFreedom}; write a number above 0", nameof(inputs));
        }

        Inputs = inputs;
        Combined = Math.Sqrt(inputs.Sum(input => input.Contribution * input.Contribution));
        EffectiveDegreesOfFreedom = WelchSatterthwaite();
    }

    public IReadOnlyList<UncertaintyInput> Inputs { get; }

    /// <summary>Combined standard uncertainty, in the output's unit.</summary>
    public double Combined { get; }

    /// <summary>ν = u⁴ / Σ (c·u)⁴/ν, not cut; infinite where no input has a finite one.</summary>
    public double EffectiveDegreesOfFreedom { get; }

    /// <summary>The share of the combined variance that an input makes, 0 to 1; 0 in a budget without any uncertainty.</summary>
    public double ShareOf(UncertaintyInput input) =>
        Combined == 0 ? 0 : input.Contribution * input.Contribution / (Combined * Combined);

    /// <summary>U for a coverage probability.</summary>
    /// <remarks>The degrees of freedom are cut to the next lower whole number before t is taken (GUM G.4.1), at least 1.</remarks>
    public ExpandedUncertainty Expanded(double probability)
    {
        double whole = Math.Max(1, Math.Floor(EffectiveDegreesOfFreedom));
        double factor = Coverage.Factor(probability, whole);
        return new ExpandedUncertainty(probability, whole, factor, factor * Combined);
    }

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
