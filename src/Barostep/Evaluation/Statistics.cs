namespace Barostep.Evaluation;

/// <summary>Mean and experimental standard deviation (GUM 4.2.1 and 4.2.2).</summary>
public static class Statistics
{
    /// <exception cref="ArgumentException">There are no values.</exception>
    public static double Mean(ReadOnlySpan<double> values)
    {
        if (values.IsEmpty)
            throw new ArgumentException("the mean of nothing", nameof(values));
        double sum = 0;
        foreach (double value in values)
            sum += value;
        double mean = sum / values.Length;

        // The second pass takes back what the first lost to rounding where all values share a large offset.
        double rest = 0;
        foreach (double value in values)
            rest += value - mean;
        return mean + (rest / values.Length);
    }

    /// <summary>Experimental standard deviation of one value, n − 1 in the denominator; null for fewer than two.</summary>
    public static double? StandardDeviation(ReadOnlySpan<double> values)
    {
        if (values.Length < 2)
            return null;
        double mean = Mean(values);
        double squares = 0;
        foreach (double value in values)
            squares += (value - mean) * (value - mean);
        return Math.Sqrt(squares / (values.Length - 1));
    }
}
