namespace Barostep.Evaluation.Corrections;

/// <summary>Normal gravity in m/s² from latitude and height, where no measured value is at hand.</summary>
/// <remarks>
/// The formulas differ by a few 1e-6 of g; the local anomaly is up to 1e-3 m/s², so a budget needs an uncertainty of that
/// size where gravity was not measured.
/// </remarks>
public static class LocalGravity
{
    /// <summary>Exact by the third General Conference on Weights and Measures, 1901.</summary>
    public const double Standard = 9.80665;

    // Free air, per metre above the ellipsoid.
    private const double FreeAir = 3.086e-6;

    /// <summary>WELMEC 2: 9.780318·(1 + 0.0053024·sin²φ − 0.0000058·sin²2φ) − 0.000003085·h.</summary>
    /// <param name="latitudeDegrees">Geographical latitude φ, −90 to 90.</param>
    /// <param name="heightMetres">h above sea level.</param>
    public static double Welmec(double latitudeDegrees, double heightMetres = 0) =>
        Series(9.780318, latitudeDegrees) - (0.000003085 * heightMetres);

    /// <summary>International gravity formula 1980 as a series: 9.780327·(1 + 0.0053024·sin²φ − 0.0000058·sin²2φ), free air −3.086e-6·h.</summary>
    public static double International1980(double latitudeDegrees, double heightMetres = 0) =>
        Series(9.780327, latitudeDegrees) - (FreeAir * heightMetres);

    /// <summary>Somigliana's closed formula γ = γ_e·(1 + k·sin²φ)/√(1 − e²·sin²φ) with the constants of GRS 80, free air −3.086e-6·h.</summary>
    public static double Somigliana(double latitudeDegrees, double heightMetres = 0)
    {
        double s = Math.Sin(Radians(latitudeDegrees));
        return (9.7803267715 * (1 + (0.001931851353 * s * s)) / Math.Sqrt(1 - (0.00669438002290 * s * s))) - (FreeAir * heightMetres);
    }

    private static double Series(double equator, double latitudeDegrees)
    {
        double s = Math.Sin(Radians(latitudeDegrees));
        double s2 = Math.Sin(2 * Radians(latitudeDegrees));
        return equator * (1 + (0.0053024 * s * s) - (0.0000058 * s2 * s2));
    }

    private static double Radians(double degrees) => degrees is >= -90 and <= 90
        ? degrees * Math.PI / 180
        : throw new ArgumentOutOfRangeException(nameof(degrees), degrees, "a latitude lies between -90 and 90 degrees");
}
