namespace Barostep.Evaluation.Decisions;

/// <summary>Where a measured value lies. The conditional zones exist under <see cref="DecisionRule.FourZones"/> only.</summary>
public enum DecisionZone
{
    /// <summary>Within the acceptance limits.</summary>
    Pass,

    /// <summary>Within the tolerance, but in its guard band.</summary>
    ConditionalPass,

    /// <summary>Outside the tolerance by no more than the guard band.</summary>
    ConditionalFail,
    Fail,
}

/// <summary>A decision with what it rests on.</summary>
/// <param name="Zone">By the rule and its tie rule.</param>
/// <param name="Acceptance">The interval that passes; empty where no value can.</param>
/// <param name="GuardBand">w; infinite likewise.</param>
/// <param name="ConformanceProbability">That the true value is within the tolerance, from this measurement alone.</param>
/// <param name="RiskOfBeingWrong">
/// Specific risk of this decision: false accept after a pass or conditional pass, false reject after a fail.
/// </param>
public sealed record ToleranceDecision(
    DecisionZone Zone,
    ToleranceInterval Acceptance,
    double GuardBand,
    double ConformanceProbability,
    double RiskOfBeingWrong)
{
    private const double OnTheLimit = 1e-10;

    /// <param name="value">Measured value, in the unit of the tolerance.</param>
    /// <param name="standardUncertainty">u of it, 0 or above.</param>
    /// <param name="expandedUncertainty">U at about 95 %.</param>
    public static ToleranceDecision Of(DecisionRule rule, ToleranceInterval tolerance, double value, double standardUncertainty, double expandedUncertainty)
    {
        ArgumentNullException.ThrowIfNull(rule);
        double guardBand = rule.GuardBand(tolerance, standardUncertainty, expandedUncertainty);
        ToleranceInterval acceptance = tolerance.Guarded(guardBand);
        if (double.IsPositiveInfinity(guardBand))
            acceptance = new ToleranceInterval(double.PositiveInfinity, double.NegativeInfinity);
        double slack = OnTheLimit * Size(tolerance);
        DecisionZone zone = acceptance.Contains(value, slack) ? DecisionZone.Pass
            : rule is not DecisionRule.FourZones ? DecisionZone.Fail
            : tolerance.Contains(value, slack) ? DecisionZone.ConditionalPass
            : tolerance.Guarded(-guardBand).Contains(value, slack) ? DecisionZone.ConditionalFail
            : DecisionZone.Fail;
        double conforms = Conformance.Probability(tolerance, value, standardUncertainty);
        bool accepts = zone is DecisionZone.Pass or DecisionZone.ConditionalPass;
        double risk = accepts ? Conformance.NonconformanceProbability(tolerance, value, standardUncertainty) : conforms;
        return new ToleranceDecision(zone, acceptance, guardBand, conforms, risk);
    }

    private static double Size(ToleranceInterval tolerance) => double.IsInfinity(tolerance.HalfWidth)
        ? Math.Abs(tolerance.Lower ?? tolerance.Upper ?? 0)
        : tolerance.HalfWidth;
}
