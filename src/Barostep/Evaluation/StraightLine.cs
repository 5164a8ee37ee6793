namespace Barostep.Evaluation;

/// <summary>An ordinary least-squares line y = intercept + slope × x with what its residuals say of it.</summary>
/// <param name="ResidualDeviation">Standard deviation about the line, n − 2 degrees of freedom; null for n = 2.</param>
/// <param name="InterceptUncertainty">Standard uncertainty (GUM H.3); null for n = 2.</param>
/// <param name="SlopeUncertainty">Standard uncertainty; null for n = 2.</param>
/// <param name="Covariance">Covariance of intercept and slope; null for n = 2.</param>
/// <param name="DegreesOfFreedom">n − 2.</param>
public sealed record StraightLine(
    double Intercept,
    double Slope,
    double? ResidualDeviation,
    double? InterceptUncertainty,
    double? SlopeUncertainty,
    double? Covariance,
    int DegreesOfFreedom)
{
    /// <summary>Fits a line by QR factorisation; null where x takes fewer than two different values.</summary>
    /// <remarks>
    /// For the columns (1, x) Gram–Schmidt is the same as centring x on its mean; a second pass removes what rounding
    /// left. The normal equations with Σx² would lose half of the digits, which a device with a raised zero would notice.
    /// </remarks>
    public static StraightLine? Fit(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        if (x.Length != y.Length)
            throw new ArgumentException("x and y have different lengths", nameof(y));
        int n = x.Length;
        if (n < 2)
            return null;

        double[] u = Centred(x, out double xMean);
        double[] v = Centred(y, out double yMean);
        double uu = Dot(u, u);
        if (uu == 0)
            return null;

        double slope = Dot(u, v) / uu;
        double intercept = yMean - (slope * xMean);
        if (n == 2)
            return new StraightLine(intercept, slope, null, null, null, null, 0);

        double squares = 0;
        for (int i = 0; i < n; i++)
        {
            double residual = v[i] - (slope * u[i]);
            squares += residual * residual;
        }

        double variance = squares / (n - 2);
        return new StraightLine(
            intercept,
            slope,
            Math.Sqrt(variance),
            Math.Sqrt(variance * ((1.0 / n) + (xMean * xMean / uu))),
            Math.Sqrt(variance / uu),
            -variance * xMean / uu,
            n - 2);
    }

    private static double[] Centred(ReadOnlySpan<double> values, out double mean)
    {
        double[] centred = values.ToArray();
        mean = 0;
        for (int pass = 0; pass < 2; pass++)
        {
            double shift = Statistics.Mean(centred);
            for (int i = 0; i < centred.Length; i++)
                centred[i] -= shift;
            mean += shift;
        }

        return centred;
    }

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++)
            sum += a[i] * b[i];
        return sum;
    }
}
