namespace Barostep.Configuration;

/// <summary>Who issues certificates, from <c>[laboratory]</c> in <c>barostep.toml</c>.</summary>
/// <param name="Name">As it stands on certificates.</param>
/// <param name="Street">Street and number.</param>
/// <param name="CountryCode">Two capital letters of ISO 3166-1.</param>
/// <param name="Contact">Telephone or mail; empty where none is shown.</param>
/// <param name="CertificatePrefix">What certificate numbers begin with; the rest counts up without a gap.</param>
public sealed record Laboratory(
    string Name, string Street, string PostCode, string City, string CountryCode, string Contact, string CertificatePrefix);
