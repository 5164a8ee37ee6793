namespace Barostep.Procedures.Settling;

/// <summary>The noise of a series of readings, from second differences, which a drift and most of a relaxation leave out.</summary>
public static class HadamardNoise
{
    /// <summary>Averaging factors that are compared: white noise gives the same at each, wandering noise more at the longer ones.</summary>
    private static readonly int[] Factors = [1, 2, 4];

    /// <summary>Variance of white noise that scatters means of a few readings as much as these do.</summary>
    /// <returns>0 where all readings are equal; null with fewer than <paramref name="readings"/> need.</returns>
    public static double? Variance(ReadOnlySpan<double> readings)
    {
        double? largest = null;
        foreach (int m in Factors)
        {
            // Fewer than this many second differences say too little.
            if (readings.Length < (3 * m) + 5)
                break;
            largest = Math.Max(largest ?? 0, m * Robust(readings, m));
        }

        return largest;
    }

    // The median of the squares: the steep beginning of a relaxation spoils few of them. 0.4549 is that median for a normal variable.
    private static double Robust(ReadOnlySpan<double> readings, int m)
    {
        const double MedianOfSquare = 0.4549364;
        double[] squares = new double[readings.Length - (3 * m) + 1];
        for (int j = 0; j < squares.Length; j++)
            squares[j] = Overlapping(readings.Slice(j, 3 * m), m);
        Array.Sort(squares);
        return squares[squares.Length / 2] / MedianOfSquare;
    }

    /// <summary>Overlapping Hadamard variance of readings at equal times, with an averaging factor.</summary>
    /// <remarks>NIST Special Publication 1065, section 5.2.10: 1/(6·m²·(M−3m+1)) times the sum of squared second differences of m-fold sums.</remarks>
    public static double Overlapping(ReadOnlySpan<double> readings, int m)
    {
        int count = readings.Length - (3 * m) + 1;
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        double sum = 0;
        for (int j = 0; j < count; j++)
        {
            double difference = 0;
            for (int i = j; i < j + m; i++)
                difference += readings[i + (2 * m)] - (2 * readings[i + m]) + readings[i];
            sum += difference * difference;
        }

        return sum / (6.0 * m * m * count);
    }
}
