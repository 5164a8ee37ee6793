namespace Barostep.Procedures.Settling;

/// <summary>Cholesky's factor L of a small positive definite matrix A = L·Lᵀ, and what follows from it.</summary>
/// <remarks>A fit needs a dozen of these for every pair; a library's general matrices cost ten times what the arithmetic does.</remarks>
internal sealed class CholeskyFactor
{
    private readonly double[,] _lower;

    /// <param name="matrix">Symmetric and positive definite; it is overwritten.</param>
    /// <exception cref="ArithmeticException">It is not positive definite.</exception>
    public CholeskyFactor(double[,] matrix)
    {
        _lower = matrix;
        int count = matrix.GetLength(0);
        for (int i = 0; i < count; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double sum = matrix[i, j];
                for (int k = 0; k < j; k++)
                    sum -= matrix[i, k] * matrix[j, k];
                if (i != j)
                    matrix[i, j] = sum / matrix[j, j];
                else if (sum > 0)
                    matrix[i, i] = Math.Sqrt(sum);
                else
                    throw new ArithmeticException($"the matrix is not positive definite in row {i}");
            }
        }
    }

    /// <summary>Natural logarithm of the determinant of A.</summary>
    public double LogDeterminant
    {
        get
        {
            double sum = 0;
            for (int i = 0; i < _lower.GetLength(0); i++)
                sum += Math.Log(_lower[i, i]);
            return 2 * sum;
        }
    }

    /// <summary>A⁻¹·v.</summary>
    public double[] Solve(ReadOnlySpan<double> vector)
    {
        double[] solution = vector.ToArray();
        Forward(solution);
        for (int i = solution.Length - 1; i >= 0; i--)
        {
            for (int k = i + 1; k < solution.Length; k++)
                solution[i] -= _lower[k, i] * solution[k];
            solution[i] /= _lower[i, i];
        }

        return solution;
    }

    /// <summary>vᵀ·A⁻¹·v; the vector is overwritten.</summary>
    public double Quadratic(Span<double> vector)
    {
        Forward(vector);
        double sum = 0;
        foreach (double one in vector)
            sum += one * one;
        return sum;
    }

    /// <summary>A⁻¹.</summary>
    public double[,] Inverse()
    {
        int count = _lower.GetLength(0);
        double[,] inverse = new double[count, count];
        Span<double> unit = stackalloc double[count];
        for (int j = 0; j < count; j++)
        {
            unit.Clear();
            unit[j] = 1;
            double[] column = Solve(unit);
            for (int i = 0; i < count; i++)
                inverse[i, j] = column[i];
        }

        return inverse;
    }

    private void Forward(Span<double> vector)
    {
        for (int i = 0; i < vector.Length; i++)
        {
            for (int k = 0; k < i; k++)
                vector[i] -= _lower[i, k] * vector[k];
            vector[i] /= _lower[i, i];
        }
    }
}
