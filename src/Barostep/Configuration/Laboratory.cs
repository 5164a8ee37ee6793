namespace Barostep.Configuration;

/// <summary>Who issues certificates, from <c>[laboratory]</c> in <c>barostep.toml</c>.</summary>
/// <param name="Name">As it stands on certificates.</param>
/// <param name="Address">One line or several.</param>
/// <param name="Contact">Telephone or mail; empty where none is shown.</param>
/// <param name="CertificatePrefix">What certificate numbers begin with; the rest counts up without a gap.</param>
public sealed record Laboratory(string Name, string Address, string Contact, string CertificatePrefix);
