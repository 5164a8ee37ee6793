namespace Barostep.Evaluation.Drift;

/// <summary>A straight line y = intercept + slope × x by weighted least squares, each y with its own standard uncertainty.</summary>
/// <remarks>
/// Weights 1/u². The uncertainties come from the u of the data; where the data scatter more than that, they are enlarged
/// by the Birge ratio √(χ²/ν), since something that is not in u then moves the values (R. T. Birge, Phys. Rev. 40 (1932) 207).
/// They are never made smaller.
/// </remarks>
/// <param name="ChiSquared">Σ((y − line)/u)².</param>
/// <param name="DegreesOfFreedom">n − 2.</param>
/// <param name="MeanX">Weighted mean of x; about it intercept and slope do not correlate.</param>
/// <param name="MeanVariance">Variance of the line at the mean, from the u of the data alone.</param>
/// <param name="SlopeVariance">Variance of the slope, likewise.</param>
public sealed record WeightedLine(
    double Intercept,
    double Slope,
    double ChiSquared,
    int DegreesOfFreedom,
    double MeanX,
    double MeanVariance,
    double SlopeVariance)
{
    /// <summary>√(χ²/ν): about 1 where the scatter is what the uncertainties promise; 1 for two points.</summary>
    public double BirgeRatio => DegreesOfFreedom == 0 ? 1 : Math.Sqrt(ChiSquared / DegreesOfFreedom);

    /// <summary>Standard uncertainty of the slope.</summary>
    public double SlopeUncertainty => Enlarged(SlopeVariance);

    /// <summary>Standard uncertainty of the intercept.</summary>
    public double InterceptUncertainty => UncertaintyAt(0);

    public double At(double x) => Intercept + (Slope * x);

    /// <summary>Standard uncertainty of the line itself at x.</summary>
    public double UncertaintyAt(double x) => Enlarged(MeanVariance + ((x - MeanX) * (x - MeanX) * SlopeVariance));

    /// <summary>Fits the line; null where x takes fewer than two different values.</summary>
    /// <exception cref="ArgumentException">The lengths differ, or a u is not above 0.</exception>
    public static WeightedLine? Fit(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> u)
    {
        if (x.Length != y.Length || x.Length != u.Length)
            throw new ArgumentException("x, y and u have different lengths", nameof(u));
        double weights = 0;
        double meanX = 0;
        double meanY = 0;
        for (int i = 0; i < x.Length; i++)
        {
            if (!(u[i] > 0))
                throw new ArgumentException("a standard uncertainty is above 0", nameof(u));
            double weight = 1 / (u[i] * u[i]);
            weights += weight;
            // A running mean loses less than a quotient of two large sums.
            meanX += weight / weights * (x[i] - meanX);
            meanY += weight / weights * (y[i] - meanY);
        }

        (double xx, double xy) = Moments(x, y, u, meanX, meanY);
        if (x.Length < 2 || xx == 0)
            return null;
        double slope = xy / xx;
        double chiSquared = 0;
        for (int i = 0; i < x.Length; i++)
        {
            double residual = (y[i] - meanY - (slope * (x[i] - meanX))) / u[i];
            chiSquared += residual * residual;
        }

        return new WeightedLine(meanY - (slope * meanX), slope, chiSquared, x.Length - 2, meanX, 1 / weights, 1 / xx);
    }

    private static (double XX, double XY) Moments(
        ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> u, double meanX, double meanY)
    {
        double xx = 0;
        double xy = 0;
        for (int i = 0; i < x.Length; i++)
        {
            double weighted = (x[i] - meanX) / (u[i] * u[i]);
            xx += weighted * (x[i] - meanX);
            xy += weighted * (y[i] - meanY);
        }

        return (xx, xy);
    }

    private double Enlarged(double variance) => Math.Sqrt(variance) * Math.Max(1, BirgeRatio);
}
