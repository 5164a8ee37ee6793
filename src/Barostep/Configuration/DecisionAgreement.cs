namespace Barostep.Configuration;

/// <summary>The decision rule that was agreed with the customer before measuring (ISO/IEC 17025 7.1.3).</summary>
public enum AgreedRule
{
    /// <summary>Accept up to the limit itself.</summary>
    PlainLimit,

    /// <summary>Accept up to the limit less a multiple of U.</summary>
    KeepAway,

    /// <summary>Pass, conditional pass, conditional fail and fail.</summary>
    FourZones,

    /// <summary>Accept where this device is outside with at most a stated probability.</summary>
    RiskOfThisDevice,

    /// <summary>Accept so that of all devices of its kind at most a stated share is wrongly accepted.</summary>
    RiskOfAllDevices,
}

/// <summary>A decision rule with its parameters; what a rule does not use is ignored.</summary>
/// <param name="Rule">By its name.</param>
/// <param name="GuardBandOfUncertainty">Width of the guard band as a multiple of U.</param>
/// <param name="MostFalseAccept">Permitted probability of a false accept, 0 to 0.5.</param>
/// <param name="PriorDeviationOfSpan">Standard deviation of the errors of all devices of the kind about 0, share of span.</param>
public sealed record DecisionAgreement(AgreedRule Rule, double GuardBandOfUncertainty, double MostFalseAccept, double PriorDeviationOfSpan)
{
    /// <summary>A guard band of one U, and 2.5 % where a risk is agreed without a figure.</summary>
    public const double UsualMultiple = 1;

    /// <summary>What a guard band of U leaves at most (ILAC-G8:09/2019, 4.2.2).</summary>
    public const double UsualRisk = 0.025;

    /// <summary>What holds where nothing was agreed.</summary>
    public static readonly DecisionAgreement PlainLimit = new(AgreedRule.PlainLimit, UsualMultiple, UsualRisk, 0);
}
