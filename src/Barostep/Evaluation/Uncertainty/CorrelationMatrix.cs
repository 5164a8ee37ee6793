namespace Barostep.Evaluation.Uncertainty;

/// <summary>The correlations of a budget's inputs as a matrix, checked to be possible.</summary>
internal sealed class CorrelationMatrix
{
    // A pivot below this is rounding: r = ±1 makes an exact 0.
    private const double Nothing = 1e-12;

    private readonly double[,] _coefficients;

    private CorrelationMatrix(double[,] coefficients, double[,] factor)
    {
        _coefficients = coefficients;
        Factor = factor;
    }

    /// <summary>Lower triangle L with L·Lᵀ equal to the matrix: turns independent draws into correlated ones.</summary>
    public double[,] Factor { get; }

    public double this[int row, int column] => _coefficients[row, column];

    /// <exception cref="ArgumentException">A name, a coefficient or all of them together are impossible.</exception>
    public static CorrelationMatrix Of(IReadOnlyList<UncertaintyInput> inputs, IReadOnlyList<Correlation> correlations)
    {
        int n = inputs.Count;
        double[,] matrix = new double[n, n];
        for (int i = 0; i < n; i++)
            matrix[i, i] = 1;
        foreach (Correlation correlation in correlations)
        {
            int first = IndexOf(inputs, correlation.First);
            int second = IndexOf(inputs, correlation.Second);
            if (first == second)
                throw new ArgumentException($"{correlation.First} is correlated with itself; name two different inputs");
            if (!(Math.Abs(correlation.Coefficient) <= 1))
                throw new ArgumentException($"{correlation.First} and {correlation.Second}: the coefficient is {correlation.Coefficient}; write a number from -1 to 1");
            if (matrix[first, second] != 0)
                throw new ArgumentException($"{correlation.First} and {correlation.Second} are correlated twice; write each pair once");
            matrix[first, second] = matrix[second, first] = correlation.Coefficient;
        }

        return new CorrelationMatrix(matrix, Cholesky(matrix));
    }

    private static int IndexOf(IReadOnlyList<UncertaintyInput> inputs, string name)
    {
        for (int i = 0; i < inputs.Count; i++)
        {
            if (inputs[i].Name == name)
                return i;
        }

        throw new ArgumentException($"{name} is no input; the inputs are {string.Join(", ", inputs.Select(input => input.Name))}");
    }

    // A row whose pivot vanishes follows wholly from those above it.
    private static double[,] Cholesky(double[,] matrix)
    {
        int n = matrix.GetLength(0);
        double[,] factor = new double[n, n];
        for (int j = 0; j < n; j++)
        {
            double pivot = matrix[j, j];
            for (int k = 0; k < j; k++)
                pivot -= factor[j, k] * factor[j, k];
            if (pivot < -Nothing)
                throw Impossible();
            bool isDependent = pivot < Nothing;
            factor[j, j] = isDependent ? 0 : Math.Sqrt(pivot);
            for (int i = j + 1; i < n; i++)
            {
                double rest = matrix[i, j];
                for (int k = 0; k < j; k++)
                    rest -= factor[i, k] * factor[j, k];
                if (isDependent && Math.Abs(rest) > Math.Sqrt(Nothing))
                    throw Impossible();
                factor[i, j] = isDependent ? 0 : rest / factor[j, j];
            }
        }

        return factor;
    }

    private static ArgumentException Impossible() =>
        new("the correlations contradict one another: no quantities can have all of them; check their signs");
}
