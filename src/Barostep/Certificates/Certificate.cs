using Barostep.Evaluation;

namespace Barostep.Certificates;

/// <summary>
/// A calibration certificate as plain values: the paper, the XML and the exports all show this and nothing else. Which
/// clause of ISO/IEC 17025:2017 asks for which field is listed in <c>docs/certificate.md</c>.
/// </summary>
/// <remarks>
/// There is no field for the date of the next calibration, since a certificate gives no such recommendation unless the
/// customer has agreed to it (7.8.4.3), and none for an accreditation mark.
/// </remarks>
public sealed record Certificate
{
    public required string Title { get; init; }

    /// <summary>Unique within the laboratory; on every page.</summary>
    public required string Number { get; init; }

    public required Party Laboratory { get; init; }

    public required PlaceOfWork PlaceOfWork { get; init; }

    public required Party Customer { get; init; }

    /// <summary>The customer's order; null where none is given.</summary>
    public required string? OrderNumber { get; init; }

    public required CertificateItem Item { get; init; }

    /// <summary>Null where it was not recorded.</summary>
    public required DateOnly? Received { get; init; }

    /// <summary>Days in UTC on which the work began and ended.</summary>
    public required DateOnly PerformedFrom { get; init; }

    public required DateOnly PerformedTo { get; init; }

    /// <summary>Null for a draft.</summary>
    public required DateOnly? Issued { get; init; }

    public required AmbientConditions Conditions { get; init; }

    public required IReadOnlyList<StandardUsed> Standards { get; init; }

    /// <summary>In the order in which they were run: one, or as found and as left.</summary>
    public required IReadOnlyList<CertificateSeries> Series { get; init; }

    /// <summary>What was adjusted, or that nothing was.</summary>
    public required string AdjustmentNote { get; init; }

    /// <summary>How the uncertainty was found and what it covers, or that none is stated.</summary>
    public required string UncertaintyStatement { get; init; }

    public required DecisionRule DecisionRule { get; init; }

    /// <summary>Of the state in which the item leaves: the last series.</summary>
    public required Conformity Conformity { get; init; }

    /// <summary>Additions to, deviations and exclusions from the method; one sentence where there were none.</summary>
    public required IReadOnlyList<string> Deviations { get; init; }

    /// <summary>What the customer supplied and the laboratory did not check; empty where nothing bears on the results.</summary>
    public required IReadOnlyList<string> SuppliedByCustomer { get; init; }

    /// <summary>That the results relate only to the item calibrated.</summary>
    public required string ItemOnlyStatement { get; init; }

    /// <summary>Null until somebody has signed off.</summary>
    public required Authorisation? Authorisation { get; init; }

    public required string ReproductionNote { get; init; }

    /// <summary>Of the program that wrote the certificate.</summary>
    public required string SoftwareVersion { get; init; }

    /// <summary>Whether any reading came from a simulated bench; said on every page.</summary>
    public required bool Simulated { get; init; }

    public required string Caution { get; init; }

    /// <summary>Null for a first certificate.</summary>
    public required Amendment? Amendment { get; init; }

    /// <summary>Why this is not yet a certificate, one clause each; empty once it is.</summary>
    public required IReadOnlyList<string> DraftReasons { get; init; }

    public bool IsDraft => DraftReasons.Count > 0;
}
