using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Certificates;

/// <summary>The draft certificate that a run ends with, from its result and who the laboratory is.</summary>
public static class RunCertificate
{
    /// <summary>Length of the part of a run's name that makes a draft's number.</summary>
    private const int NumberLength = 8;

    /// <summary>A draft: nobody has signed it, and its number is the run's, not one of the register.</summary>
    /// <param name="result">The evaluated run; it has points.</param>
    /// <param name="laboratory">Who did it; also the customer, as long as no job names another.</param>
    public static Certificate Draft(RunResult result, Laboratory laboratory)
    {
        var party = new Party(laboratory.Name, new PostalAddress(laboratory.Street, laboratory.PostCode, laboratory.City, laboratory.CountryCode));
        IReadOnlyList<StatedUncertainty>? uncertainties = RunBudgets.Of(result)?
            .Select(budget => budget.Expanded(RunBudgets.Probability))
            .Select(expanded => new StatedUncertainty(expanded.Value, expanded.CoverageFactor, expanded.Probability))
            .ToList();
        return CertificateBuilder.From(new CertifiedRun(result, uncertainties), new CertificateDetails
        {
            Number = $"{laboratory.CertificatePrefix}DRAFT-{result.Record.Id[..NumberLength]}",
            Laboratory = party,
            PlaceOfWork = new PlaceOfWork(PlaceKind.Laboratory, $"bench {result.Record.Bench}"),
            Customer = party,
            Condition = "No remarks were recorded on receipt.",
            Standards = [.. result.Record.Standards.Select(Used)],
            UncertaintyMethod = uncertainties is null
                ? null
                : "GUM budget for each point: calibration and drift of the standards, zero deviation, repeatability, hysteresis, scatter while reading; coverage factor from Student's t.",
            SoftwareVersion = result.Record.SoftwareVersion,
        });
    }

    private static StandardUsed Used(StandardUse use) => new(
        use.Role,
        $"{use.Standard.Title}, {use.Standard.Manufacturer} {use.Standard.Model}, serial number {use.Standard.SerialNumber}",
        use.Standard.CertificateNumber,
        use.Standard.CalibratedOn,
        use.Standard.DueOn,
        use.Standard.CalibratedBy);
}
