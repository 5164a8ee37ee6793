namespace Barostep.Records;

/// <summary>What a certificate is.</summary>
public enum CertificateKind
{
    /// <summary>For a customer.</summary>
    CalibrationCertificate,

    /// <summary>For the workshop's own use.</summary>
    InternalReport,
}

/// <summary>What one stored file of a certificate is.</summary>
public enum DocumentFormat
{
    /// <summary>All that the documents were made from, so that they can be made again.</summary>
    Inputs,
    Pdf,
    Xml,
}

/// <summary>One file of a certificate, byte for byte.</summary>
public sealed record CertificateDocument(DocumentFormat Format, ReadOnlyMemory<byte> Bytes);

/// <summary>A stored file of a certificate, without its bytes.</summary>
/// <param name="Sha256">Of the bytes, hexadecimal.</param>
public sealed record StoredDocument(DocumentFormat Format, string Sha256, long Length);

/// <summary>Why a certificate takes the place of an earlier one.</summary>
/// <param name="Number">The one it replaces, which stays readable.</param>
public sealed record ReplacedCertificate(string Number, string Reason);

/// <summary>Who signed a certificate off, and when; from then on it is no draft.</summary>
/// <param name="Function">Of that person in the laboratory.</param>
public sealed record SignOff(DateTimeOffset SignedUtc, string By, string Function);

/// <summary>What is to be certified.</summary>
public sealed record CertificateOrder
{
    public required CertificateKind Kind { get; init; }

    /// <summary>One run, or the run as found and the run as left of one job.</summary>
    public required IReadOnlyList<string> RunIds { get; init; }

    /// <summary>What the number begins with.</summary>
    public required string Prefix { get; init; }

    public required DateTimeOffset IssuedUtc { get; init; }

    /// <summary>Who had it made; nobody has signed it by that.</summary>
    public required string IssuedBy { get; init; }

    /// <summary>Who else looked it through; null where nobody did.</summary>
    public string? ReviewedBy { get; init; }

    /// <summary>Null for a first certificate.</summary>
    public ReplacedCertificate? Amends { get; init; }
}

/// <summary>A certificate as it was issued. It is never changed; another may replace it.</summary>
/// <param name="Number">Prefix and sequence.</param>
/// <param name="Sequence">Counts up from 1 over all certificates of the installation, without a gap.</param>
/// <param name="ReplacedBy">Null while it is the valid one.</param>
/// <param name="Documents">As signed, or as drafted where nobody signed.</param>
/// <param name="SignedOff">Null for a draft.</param>
public sealed record IssuedCertificate(
    string Number,
    long Sequence,
    CertificateKind Kind,
    IReadOnlyList<string> RunIds,
    DateTimeOffset IssuedUtc,
    string IssuedBy,
    string? ReviewedBy,
    ReplacedCertificate? Amends,
    string? ReplacedBy,
    IReadOnlyList<StoredDocument> Documents,
    SignOff? SignedOff);
