namespace Barostep.Evaluation.Uncertainty;

/// <summary>What a distribution is called where people read it.</summary>
internal static class DistributionText
{
    public static string Word(Distribution distribution) => distribution switch
    {
        Distribution.Normal => "normal",
        Distribution.Rectangular => "rectangular",
        Distribution.Triangular => "triangular",
        Distribution.Arcsine => "arcsine",
        Distribution.StudentT => "t",
        _ => throw new ArgumentOutOfRangeException(nameof(distribution), distribution, "unknown distribution"),
    };
}
