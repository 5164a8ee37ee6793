using Barostep.Certificates;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Daemon.Output;

/// <summary>Makes the files of certificates from the records, and has the register keep them.</summary>
internal sealed class CertificateDesk(RunStore store, Laboratory laboratory)
{
    /// <summary>A numbered draft of one run, or of one as found and one as left.</summary>
    /// <param name="amends">The certificate in whose place it stands; null for a first one.</param>
    /// <param name="jobs">Jobs as their files say now, for an amendment; its decision rule stays as agreed before the run.</param>
    public IssuedCertificate Issue(
        IReadOnlyList<string> runIds, string by, ReplacedCertificate? amends = null, IReadOnlyDictionary<string, JobDefinition>? jobs = null)
    {
        RunResult[] runs = Evaluated(store, runIds);
        JobDefinition? corrected = runs[^1].Record.Job is { } use && jobs is not null ? jobs.GetValueOrDefault(use.Job.Name) : null;
        var order = new CertificateOrder
        {
            Kind = CertificateKind.CalibrationCertificate,
            RunIds = runIds,
            Prefix = laboratory.CertificatePrefix,
            IssuedUtc = TimeProvider.System.GetUtcNow(),
            IssuedBy = by,
            Amends = amends,
        };
        return store.Certificates.Issue(order, number => Documents(runs, RunCertificate.Details(number, runs, laboratory, Adjustments(store, runs[^1]), corrected) with
        {
            SoftwareVersion = ProgramVersion.Text,
            Amendment = amends is null ? null : new Certificates.Amendment(AmendmentKind.Amended, amends.Number, amends.Reason),
        }));
    }

    /// <summary>The same with a name under it.</summary>
    /// <exception cref="RefusedException">Something else is missing too.</exception>
    public IssuedCertificate SignOff(IssuedCertificate certificate, string by, string function)
    {
        DateTimeOffset now = TimeProvider.System.GetUtcNow();
        RunResult[] runs = Evaluated(store, certificate.RunIds);
        CertificateDetails details = DetailsOf(store, certificate) with
        {
            Authorisation = new Authorisation(by, function, DateOnly.FromDateTime(now.UtcDateTime)),
        };
        IReadOnlyList<string> missing = RunCertificate.Of(runs, details).DraftReasons;
        if (missing.Count > 0)
            throw new RefusedException($"certificate {certificate.Number} cannot be signed off: {string.Join("; ", missing)}. A signature does not help what is missing; calibrate again with it, or state it in the files");
        store.Certificates.SignOff(certificate.Number, new SignOff(now, by, function), Documents(runs, details));
        return store.Certificates.Get(certificate.Number)!;
    }

    /// <summary>A draft of a run that has no certificate yet; of a run as left together with the one as found.</summary>
    public Certificate Draft(RunRecord run)
    {
        RunResult result = RunEvaluation.Evaluate(run);
        return Draft(store, laboratory, JobText.AsFoundBefore(store, run), result);
    }

    /// <summary>The same of results that are at hand; without a store nothing is known of adjustments.</summary>
    public static Certificate Draft(RunStore? store, Laboratory laboratory, RunResult? asFound, RunResult result) =>
        RunCertificate.Draft(asFound is null ? [result] : [asFound, result], laboratory, Adjustments(store, result));

    /// <summary>One file of a certificate: as it is kept, or made again where it is not kept.</summary>
    public static byte[] Bytes(RunStore store, IssuedCertificate certificate, string format) => format switch
    {
        "pdf" => Kept(store, certificate, DocumentFormat.Pdf),
        "xml" => Kept(store, certificate, DocumentFormat.Xml),
        _ => Written(Remade(store, certificate), format),
    };

    /// <summary>The certificate made again from its runs and what was kept beside them.</summary>
    public static Certificate Remade(RunStore store, IssuedCertificate certificate) =>
        RunCertificate.Of(Evaluated(store, certificate.RunIds), DetailsOf(store, certificate));

    /// <summary>A certificate in one of its formats: pdf, xml, json, csv or results.</summary>
    public static byte[] Written(Certificate certificate, string format)
    {
        using var buffer = new MemoryStream();
        switch (format)
        {
            case "pdf":
                CertificatePdf.Write(buffer, certificate);
                break;
            case "xml":
                CertificateXml.Write(buffer, certificate);
                break;
            case "json":
                CertificateJson.Write(buffer, certificate);
                break;
            case "csv":
                CertificateCsv.Write(buffer, certificate);
                break;
            case "results":
                CertificateCsv.WriteResults(buffer, certificate);
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(format), format, "unknown format");
        }

        return buffer.ToArray();
    }

    private static CertificateDocument[] Documents(RunResult[] runs, CertificateDetails details)
    {
        Certificate certificate = RunCertificate.Of(runs, details);
        return
        [
            new(DocumentFormat.Inputs, CertificateDetailsJson.Write(details)),
            new(DocumentFormat.Pdf, Written(certificate, "pdf")),
            new(DocumentFormat.Xml, Written(certificate, "xml")),
        ];
    }

    private static RunResult[] Evaluated(RunStore store, IReadOnlyList<string> runIds) =>
        [.. runIds.Select(id => RunEvaluation.Evaluate(store.Get(id) ?? throw new RunStoreException($"there is no run {id}")))];

    private static CertificateDetails DetailsOf(RunStore store, IssuedCertificate certificate) =>
        CertificateDetailsJson.Read(Kept(store, certificate, DocumentFormat.Inputs));

    private static byte[] Kept(RunStore store, IssuedCertificate certificate, DocumentFormat format) =>
        store.Certificates.Document(certificate.Number, format)
        ?? throw new RunStoreException($"certificate {certificate.Number} was kept without its {format.ToString().ToLowerInvariant()}");

    private static IReadOnlyList<Adjustment> Adjustments(RunStore? store, RunResult result) =>
        result.Record.Job is { } use ? store?.Jobs.Get(use.Job.Name)?.Adjustments ?? [] : [];
}
