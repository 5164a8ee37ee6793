namespace Barostep.Certificates;

/// <summary>Who released the certificate, in which function, and when.</summary>
public sealed record Authorisation(string Name, string Function, DateOnly Date);

/// <summary>How a certificate relates to the one in whose place it stands.</summary>
public enum AmendmentKind
{
    /// <summary>The same work, with something corrected or added.</summary>
    Amended,

    /// <summary>A whole new certificate in the place of the old one.</summary>
    Substituted,
}

/// <summary>What a certificate replaces, and why (ISO/IEC 17025:2017, 7.8.8).</summary>
/// <param name="ReplacedNumber">Number of the certificate that no longer counts.</param>
public sealed record Amendment(AmendmentKind Kind, string ReplacedNumber, string Reason);
