namespace Barostep.Evaluation.Uncertainty;

/// <summary>What is believed of an input quantity.</summary>
public enum Distribution
{
    Normal,
    Rectangular,
    Triangular,

    /// <summary>A quantity that swings between two limits, as a temperature under on-off control.</summary>
    Arcsine,

    /// <summary>
    /// Student's t about the estimate, as JCGM 101 6.4.9 gives it to the mean of readings and to a certificate with few
    /// degrees of freedom. In a Monte Carlo run it is wider than the standard uncertainty says, by √(ν/(ν − 2)).
    /// </summary>
    StudentT,
}

/// <summary>One line of an uncertainty budget.</summary>
/// <param name="Estimate">Best estimate, in the input's own unit.</param>
/// <param name="StandardUncertainty">In the input's own unit, at least 0.</param>
/// <param name="Sensitivity">Output unit per input unit, with its sign (GUM 5.1.3); a model with a formula finds it itself.</param>
/// <param name="DegreesOfFreedom">Above 0; infinite where the standard uncertainty is taken as exact.</param>
public sealed record UncertaintyInput(
    string Name,
    double Estimate,
    double StandardUncertainty,
    double Sensitivity,
    double DegreesOfFreedom,
    Distribution Distribution)
{
    /// <summary>Unit of the estimate, for the table; empty where it has none.</summary>
    public string Unit { get; init; } = string.Empty;

    /// <summary>Sensitivity times standard uncertainty, in the output's unit.</summary>
    public double Contribution => Sensitivity * StandardUncertainty;

    /// <summary>From limits ± half-width (GUM 4.3.7 and 4.3.9; arcsine as in H.1.3.4).</summary>
    /// <exception cref="ArgumentOutOfRangeException">The distribution is one without limits.</exception>
    public static UncertaintyInput FromLimits(
        string name,
        double estimate,
        double halfWidth,
        double sensitivity,
        Distribution distribution,
        double degreesOfFreedom = double.PositiveInfinity) =>
        new(name, estimate, halfWidth / Divisor(distribution), sensitivity, degreesOfFreedom, distribution);

    /// <summary>From a certificate that states U and k (GUM 4.3.3).</summary>
    public static UncertaintyInput FromExpanded(
        string name,
        double estimate,
        double expanded,
        double coverageFactor,
        double sensitivity,
        double degreesOfFreedom = double.PositiveInfinity) =>
        new(name, estimate, expanded / coverageFactor, sensitivity, degreesOfFreedom, Distribution.Normal);

    /// <summary>From repeated readings: the mean, its standard deviation and n − 1 degrees of freedom (GUM 4.2.3).</summary>
    /// <exception cref="ArgumentException">There are fewer than two readings.</exception>
    public static UncertaintyInput FromReadings(string name, ReadOnlySpan<double> readings, double sensitivity)
    {
        double deviation = Statistics.StandardDeviation(readings)
            ?? throw new ArgumentException("a scatter needs at least two readings", nameof(readings));
        return new UncertaintyInput(
            name,
            Statistics.Mean(readings),
            deviation / Math.Sqrt(readings.Length),
            sensitivity,
            readings.Length - 1,
            Distribution.StudentT);
    }

    /// <summary>Degrees of freedom of a standard uncertainty that is itself doubtful by a share of it (GUM G.3).</summary>
    public static double DegreesOfFreedomFor(double relativeUncertaintyOfUncertainty) =>
        0.5 / (relativeUncertaintyOfUncertainty * relativeUncertaintyOfUncertainty);

    /// <summary>Half-width over standard deviation of a distribution with limits.</summary>
    internal static double Divisor(Distribution distribution) => distribution switch
    {
        Distribution.Rectangular => Math.Sqrt(3),
        Distribution.Triangular => Math.Sqrt(6),
        Distribution.Arcsine => Math.Sqrt(2),
        Distribution.Normal or Distribution.StudentT => throw new ArgumentOutOfRangeException(nameof(distribution), distribution, "this distribution has no limits"),
        _ => throw new ArgumentOutOfRangeException(nameof(distribution), distribution, "unknown distribution"),
    };
}
