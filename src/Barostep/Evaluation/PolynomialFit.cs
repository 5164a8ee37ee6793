namespace Barostep.Evaluation;

/// <summary>A least-squares polynomial, for a correction curve of higher order than a line.</summary>
/// <param name="Coefficients">Lowest power first.</param>
/// <param name="Uncertainties">Standard uncertainty of each from the scatter about the curve; null without degrees of freedom.</param>
/// <param name="ResidualDeviation">Standard deviation about the curve; null likewise.</param>
/// <param name="DegreesOfFreedom">Points less coefficients.</param>
public sealed record PolynomialFit(
    IReadOnlyList<double> Coefficients,
    IReadOnlyList<double>? Uncertainties,
    double? ResidualDeviation,
    int DegreesOfFreedom)
{
    /// <summary>Fits by Householder reflections; null where x takes no more different values than the degree.</summary>
    /// <remarks>The powers are taken of x divided by a power of two near its largest, which loses no digit and keeps them of one size.</remarks>
    public static PolynomialFit? Fit(ReadOnlySpan<double> x, ReadOnlySpan<double> y, int degree)
    {
        if (x.Length != y.Length)
            throw new ArgumentException("x and y have different lengths", nameof(y));
        ArgumentOutOfRangeException.ThrowIfNegative(degree);
        if (new HashSet<double>(x.ToArray()).Count <= degree)
            return null;
        double scale = Scale(x);
        double[,] columns = Powers(x, scale, degree + 1);
        double[] rest = y.ToArray();
        double[] diagonal = Triangularise(columns, rest);
        double[] scaled = BackSubstitute(columns, diagonal, rest);
        int freedom = x.Length - degree - 1;
        double[] coefficients = [.. scaled.Select((value, k) => value / Math.Pow(scale, k))];
        if (freedom == 0)
            return new PolynomialFit(coefficients, null, null, 0);

        // Below the triangle the reflected right-hand side is what no polynomial of this degree explains.
        double deviation = Math.Sqrt(rest.Skip(degree + 1).Sum(value => value * value) / freedom);
        double[] uncertainties = [.. RowNorms(columns, diagonal).Select((norm, k) => deviation * norm / Math.Pow(scale, k))];
        return new PolynomialFit(coefficients, uncertainties, deviation, freedom);
    }

    public double At(double x) => Horner(Coefficients, x);

    internal static double Horner(IReadOnlyList<double> coefficients, double x)
    {
        double value = 0;
        for (int k = coefficients.Count - 1; k >= 0; k--)
            value = (value * x) + coefficients[k];
        return value;
    }

    private static double Scale(ReadOnlySpan<double> x)
    {
        double largest = 0;
        foreach (double value in x)
            largest = Math.Max(largest, Math.Abs(value));
        return largest == 0 ? 1 : Math.ScaleB(1, Math.ILogB(largest));
    }

    private static double[,] Powers(ReadOnlySpan<double> x, double scale, int count)
    {
        double[,] columns = new double[x.Length, count];
        for (int i = 0; i < x.Length; i++)
        {
            double power = 1;
            for (int k = 0; k < count; k++)
            {
                columns[i, k] = power;
                power *= x[i] / scale;
            }
        }

        return columns;
    }

    // Householder; the vectors stand on and below the diagonal, R above it, and R's diagonal by itself.
    private static double[] Triangularise(double[,] a, double[] y)
    {
        int rows = a.GetLength(0);
        int count = a.GetLength(1);
        double[] diagonal = new double[count];
        for (int k = 0; k < count; k++)
        {
            double norm = 0;
            for (int i = k; i < rows; i++)
                norm = double.Hypot(norm, a[i, k]);
            if (a[k, k] > 0)
                norm = -norm;
            diagonal[k] = norm;
            a[k, k] -= norm;
            double half = -norm * a[k, k];
            for (int j = k + 1; j < count; j++)
            {
                double dot = 0;
                for (int i = k; i < rows; i++)
                    dot += a[i, k] * a[i, j];
                for (int i = k; i < rows; i++)
                    a[i, j] -= dot / half * a[i, k];
            }

            double ofY = 0;
            for (int i = k; i < rows; i++)
                ofY += a[i, k] * y[i];
            for (int i = k; i < rows; i++)
                y[i] -= ofY / half * a[i, k];
        }

        return diagonal;
    }

    private static double[] BackSubstitute(double[,] a, double[] diagonal, double[] y)
    {
        double[] solution = new double[diagonal.Length];
        for (int k = diagonal.Length - 1; k >= 0; k--)
        {
            double rest = y[k];
            for (int j = k + 1; j < diagonal.Length; j++)
                rest -= a[k, j] * solution[j];
            solution[k] = rest / diagonal[k];
        }

        return solution;
    }

    // √ of the diagonal of (RᵀR)⁻¹: the lengths of the rows of R⁻¹.
    private static double[] RowNorms(double[,] a, double[] diagonal)
    {
        int n = diagonal.Length;
        double[] norms = new double[n];
        for (int column = 0; column < n; column++)
        {
            double[] inverse = new double[n];
            for (int k = column; k >= 0; k--)
            {
                double rest = k == column ? 1 : 0;
                for (int j = k + 1; j <= column; j++)
                    rest -= a[k, j] * inverse[j];
                inverse[k] = rest / diagonal[k];
                norms[k] = double.Hypot(norms[k], inverse[k]);
            }
        }

        return norms;
    }

}
