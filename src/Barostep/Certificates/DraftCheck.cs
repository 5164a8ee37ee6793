namespace Barostep.Certificates;

/// <summary>What a certificate still lacks before it may count as one.</summary>
internal static class DraftCheck
{
    public static IReadOnlyList<string> Of(Certificate certificate)
    {
        List<string> reasons = [];
        if (certificate.Authorisation is null)
            reasons.Add("nobody has authorised it");
        if (certificate.Series.Any(series => series.Points.Any(point => point.ErrorPascals is not null && point.Uncertainty is null)))
            reasons.Add("no uncertainty is stated");
        if (!certificate.Conditions.IsComplete)
            reasons.Add("the conditions of the work are not all recorded");
        if (certificate.Standards.Count == 0)
            reasons.Add("no standard is named");
        reasons.AddRange(certificate.Standards
            .Where(standard => !standard.IsTraceable)
            .Select(standard => $"the calibration of {standard.Role} is not stated"));
        reasons.AddRange(certificate.Standards
            .Where(standard => standard.Due < certificate.PerformedTo && standard.OverdueAllowed is null)
            .Select(standard => $"the calibration of {standard.Role} was due on {Wording.Date(standard.Due!.Value)}, before the work ended"));
        return reasons;
    }
}
