namespace Barostep.Certificates;

/// <summary>Refuses what could not stand on a certificate.</summary>
internal static class DetailsCheck
{
    public static void Refuse(CertificateDetails details)
    {
        if (string.IsNullOrWhiteSpace(details.Number))
            throw new ArgumentException("the certificate has no number; give one that is unique in the laboratory", nameof(details));
        foreach (Party party in new[] { details.Laboratory, details.Customer })
        {
            if (party.Address.CountryCode is not [>= 'A' and <= 'Z', >= 'A' and <= 'Z'])
                throw new ArgumentException($"the country code of {party.Name} is \"{party.Address.CountryCode}\"; write the two capital letters of ISO 3166-1, as \"DE\"", nameof(details));
        }
    }

    public static void Refuse(StatedUncertainty uncertainty)
    {
        if (!(uncertainty.ExpandedPascals > 0) || !double.IsFinite(uncertainty.ExpandedPascals))
            throw new ArgumentException(Wording.Invariant($"an expanded uncertainty is {uncertainty.ExpandedPascals} Pa; state one above 0"), nameof(uncertainty));
        if (!(uncertainty.CoverageFactor >= 1) || !double.IsFinite(uncertainty.CoverageFactor))
            throw new ArgumentException(Wording.Invariant($"a coverage factor is {uncertainty.CoverageFactor}; state one of at least 1"), nameof(uncertainty));
        if (!(uncertainty.Probability > 0 && uncertainty.Probability < 1))
            throw new ArgumentException(Wording.Invariant($"a coverage probability is {uncertainty.Probability}; state one between 0 and 1, as 0.95"), nameof(uncertainty));
    }
}
