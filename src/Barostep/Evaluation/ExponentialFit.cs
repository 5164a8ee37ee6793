using MathNet.Numerics;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Double;

namespace Barostep.Evaluation;

/// <summary>What stands beside the exponential in a fit.</summary>
public enum ExponentialShape
{
    /// <summary>y = a·(1 − exp(−t/τ)).</summary>
    RiseFromZero,

    /// <summary>y = a·exp(−t/τ) + b.</summary>
    ToRest,

    /// <summary>y = a·exp(−t/τ) + b + c·t.</summary>
    ToTrend,
}

/// <summary>A least-squares fit of one exponential with an unknown time constant.</summary>
/// <param name="TimeConstant">τ, in the unit of t.</param>
/// <param name="Coefficients">a, then b and c where the shape has them.</param>
/// <param name="Uncertainties">Standard uncertainty of τ, then of each coefficient, from the scatter about the curve.</param>
/// <param name="ResidualSumOfSquares">Of the scatter.</param>
/// <remarks>
/// For a given τ the coefficients are linear least squares (variable projection: G. H. Golub and V. Pereyra, 1973); τ is searched
/// over a ladder, then all are polished by Gauss and Newton's iteration.
/// </remarks>
public sealed record ExponentialFit(
    double TimeConstant, IReadOnlyList<double> Coefficients, IReadOnlyList<double> Uncertainties, double ResidualSumOfSquares)
{
    private const int Rungs = 60;
    private const int Polishes = 60;

    /// <summary>Null with fewer points than unknowns, or where no exponential between a tenth of the shortest distance and ten times the whole fits better than its ends.</summary>
    public static ExponentialFit? Fit(ReadOnlySpan<double> t, ReadOnlySpan<double> y, ExponentialShape shape)
    {
        if (t.Length != y.Length)
            throw new ArgumentException("t and y have different lengths", nameof(y));
        Vector<double> times = DenseVector.OfArray(t.ToArray());
        Vector<double> values = DenseVector.OfArray(y.ToArray());
        int unknowns = Columns(times, 1, shape).ColumnCount + 1;
        double length = t.Length < 2 ? 0 : times.Maximum() - Math.Min(0, times.Minimum());
        if (t.Length <= unknowns || length <= 0)
            return null;
        double shortest = length / t.Length / 10;
        double step = Math.Pow(10 * length / shortest, 1.0 / Rungs);
        double[] rungs = [.. Enumerable.Range(0, Rungs + 1).Select(k => shortest * Math.Pow(step, k))];
        double[] misfits = [.. rungs.Select(tau => Misfit(times, values, tau, shape))];
        int best = Array.IndexOf(misfits, misfits.Min());
        if (best is 0 or Rungs)
            return null;
        double tau = FindMinimum.OfScalarFunctionConstrained(rate => Misfit(times, values, 1 / rate, shape), 1 / rungs[best + 1], 1 / rungs[best - 1], 1e-8);
        return Polished(times, values, 1 / tau, shape);
    }

    private static double Misfit(Vector<double> t, Vector<double> y, double tau, ExponentialShape shape)
    {
        Matrix<double> columns = Columns(t, tau, shape);
        Vector<double> rest = y - (columns * columns.QR().Solve(y));
        return rest * rest;
    }

    private static Matrix<double> Columns(Vector<double> t, double tau, ExponentialShape shape)
    {
        Vector<double> decay = t.Map(time => Math.Exp(-time / tau));
        Vector<double> one = DenseVector.Create(t.Count, 1);
        return shape switch
        {
            ExponentialShape.RiseFromZero => DenseMatrix.OfColumnVectors(one - decay),
            ExponentialShape.ToRest => DenseMatrix.OfColumnVectors(decay, one),
            ExponentialShape.ToTrend => DenseMatrix.OfColumnVectors(decay, one, t),
            _ => throw new ArgumentOutOfRangeException(nameof(shape)),
        };
    }

    private static ExponentialFit Polished(Vector<double> t, Vector<double> y, double start, ExponentialShape shape)
    {
        double tau = start;
        Matrix<double> columns = Columns(t, tau, shape);
        Vector<double> coefficients = columns.QR().Solve(y);
        for (int i = 0; i < Polishes; i++)
        {
            Matrix<double> slopes = Slopes(t, tau, coefficients, columns, shape);
            Vector<double> change = slopes.QR().Solve(y - (columns * coefficients));
            tau += change[0];
            coefficients += change.SubVector(1, coefficients.Count);
            columns = Columns(t, tau, shape);
            if (Math.Abs(change[0]) < 1e-14 * tau)
                break;
        }

        Vector<double> rest = y - (columns * coefficients);
        double misfit = rest * rest;
        Matrix<double> last = Slopes(t, tau, coefficients, columns, shape);
        Matrix<double> covariance = (last.Transpose() * last).Inverse() * (misfit / (t.Count - coefficients.Count - 1));
        return new ExponentialFit(tau, [.. coefficients], [.. covariance.Diagonal().Map(Math.Sqrt)], misfit);
    }

    // The derivative by the time constant first, then those by the coefficients.
    private static Matrix<double> Slopes(Vector<double> t, double tau, Vector<double> coefficients, Matrix<double> columns, ExponentialShape shape)
    {
        double sign = shape == ExponentialShape.RiseFromZero ? -1 : 1;
        Vector<double> byTau = t.Map(time => sign * coefficients[0] * time / (tau * tau) * Math.Exp(-time / tau));
        return columns.InsertColumn(0, byTau);
    }
}
