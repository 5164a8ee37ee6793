namespace Barostep.Certificates;

/// <summary>What a certificate says that no run can know.</summary>
public sealed record CertificateDetails
{
    public string Title { get; init; } = "Calibration certificate";

    public required string Number { get; init; }

    public required Party Laboratory { get; init; }

    public required PlaceOfWork PlaceOfWork { get; init; }

    public required Party Customer { get; init; }

    public string? OrderNumber { get; init; }

    /// <summary>Of the item, as it was received.</summary>
    public required string Condition { get; init; }

    public DateOnly? Received { get; init; }

    public AmbientConditions Conditions { get; init; } = AmbientConditions.NotRecorded;

    /// <summary>The instruments that the results rest on; without any the certificate stays a draft.</summary>
    public IReadOnlyList<StandardUsed> Standards { get; init; } = [];

    /// <summary>Of the procedure's text; null where none is kept.</summary>
    public string? MethodRevision { get; init; }

    /// <summary>Required where there is an as-left run; otherwise it is said that nothing was adjusted.</summary>
    public string? AdjustmentNote { get; init; }

    /// <summary>How the stated uncertainties were found; ignored where none are stated.</summary>
    public string? UncertaintyMethod { get; init; }

    public DecisionRule DecisionRule { get; init; } = DecisionRule.SimpleAcceptance;

    public IReadOnlyList<string> Deviations { get; init; } = [];

    public IReadOnlyList<string> SuppliedByCustomer { get; init; } = [];

    public Authorisation? Authorisation { get; init; }

    /// <summary>Of the program that writes the certificate.</summary>
    public required string SoftwareVersion { get; init; }

    public Amendment? Amendment { get; init; }
}
