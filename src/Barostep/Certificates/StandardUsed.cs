namespace Barostep.Certificates;

/// <summary>An instrument that the results rest on, with what makes them traceable.</summary>
/// <param name="Role">What it did: pressure reference, multimeter, thermometer.</param>
/// <param name="Identity">As the instrument told it, or as a person wrote it down.</param>
/// <param name="CertificateNumber">Of its own calibration; null where none is known.</param>
/// <param name="CalibratedOn">Date of its own calibration; null where it is not known.</param>
/// <param name="Due">When its own calibration is due; null where it is not known.</param>
/// <param name="TraceableTo">Through whom its values lead to the SI; null where it is not known.</param>
public sealed record StandardUsed(
    string Role,
    string Identity,
    string? CertificateNumber,
    DateOnly? CalibratedOn,
    DateOnly? Due,
    string? TraceableTo)
{
    /// <summary>Who allowed it to be used overdue, and why; null where nobody had to.</summary>
    public string? OverdueAllowed { get; init; }

    /// <summary>Whether its calibration is stated: without it no result that rests on it is traceable.</summary>
    public bool IsTraceable => CertificateNumber is not null && CalibratedOn is not null;
}
