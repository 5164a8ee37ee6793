namespace Barostep.Evaluation.Characteristics;

/// <summary>The straight line from which a characteristic departs (IEC 61298-2).</summary>
public enum LineKind
{
    /// <summary>Through both end points.</summary>
    TerminalBased,

    /// <summary>Through the lower end point, with the slope that makes the largest departure least.</summary>
    ZeroBased,

    /// <summary>Free in both, with the largest departure least: Chebyshev's best straight line, not the least-squares line.</summary>
    Independent,
}

/// <summary>A line laid to a characteristic and the largest departure from it.</summary>
/// <param name="LargestDeparture">Of the characteristic from the line, with its sign, in the unit of y.</param>
public sealed record Linearity(LineKind Kind, double Intercept, double Slope, double LargestDeparture)
{
    public double At(double x) => Intercept + (Slope * x);

    /// <summary>The departure as a share of the output span.</summary>
    public double OfSpan(double outputSpan) => LargestDeparture / outputSpan;

    /// <param name="x">Reference values; the lowest and the highest are the end points.</param>
    /// <param name="y">The mean of the ascending and descending values at each.</param>
    /// <exception cref="ArgumentException">Lengths differ, or x takes fewer than two different values.</exception>
    public static Linearity Of(LineKind kind, ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        if (x.Length != y.Length || x.Length < 2)
            throw new ArgumentException("a line needs two points or more, each with x and y", nameof(y));
        int low = 0;
        int high = 0;
        for (int i = 1; i < x.Length; i++)
        {
            low = x[i] < x[low] ? i : low;
            high = x[i] > x[high] ? i : high;
        }

        if (x[high] == x[low])
            throw new ArgumentException("all values of x are the same", nameof(x));
        double slope = kind switch
        {
            LineKind.TerminalBased => (y[high] - y[low]) / (x[high] - x[low]),
            LineKind.ZeroBased => BestSlopeThrough(x[low], y[low], x, y),
            LineKind.Independent => BestSlope(x, y),
            _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "unknown line"),
        };
        double intercept = kind == LineKind.Independent ? Middle(x, y, slope) : y[low] - (slope * x[low]);
        return new Linearity(kind, intercept, slope, Largest(x, y, intercept, slope));
    }

    // The narrowest strip that holds all points has an edge of their hull on one side: its slope joins two of them.
    private static double BestSlope(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        double best = 0;
        double least = double.PositiveInfinity;
        for (int i = 0; i < x.Length; i++)
        {
            for (int j = i + 1; j < x.Length; j++)
            {
                if (x[i] == x[j])
                    continue;
                double slope = (y[j] - y[i]) / (x[j] - x[i]);
                double width = Width(x, y, slope);
                if (width < least)
                    (best, least) = (slope, width);
            }
        }

        return best;
    }

    // Where the largest departure is least, two points share it with opposite signs, or one line meets its only point.
    private static double BestSlopeThrough(double x0, double y0, ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        double best = 0;
        double least = double.PositiveInfinity;
        for (int i = 0; i < x.Length; i++)
        {
            for (int j = i; j < x.Length; j++)
            {
                double run = (x[i] - x0) + (x[j] - x0);
                if (run == 0)
                    continue;
                double slope = ((y[i] - y0) + (y[j] - y0)) / run;
                double departure = Math.Abs(Largest(x, y, y0 - (slope * x0), slope));
                if (departure < least)
                    (best, least) = (slope, departure);
            }
        }

        return best;
    }

    private static double Width(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double slope)
    {
        (double least, double most) = Extremes(x, y, slope);
        return most - least;
    }

    private static double Middle(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double slope)
    {
        (double least, double most) = Extremes(x, y, slope);
        return (least + most) / 2;
    }

    private static (double Least, double Most) Extremes(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double slope)
    {
        double least = double.PositiveInfinity;
        double most = double.NegativeInfinity;
        for (int i = 0; i < x.Length; i++)
        {
            double rest = y[i] - (slope * x[i]);
            least = Math.Min(least, rest);
            most = Math.Max(most, rest);
        }

        return (least, most);
    }

    private static double Largest(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double intercept, double slope)
    {
        double largest = 0;
        for (int i = 0; i < x.Length; i++)
        {
            double departure = y[i] - intercept - (slope * x[i]);
            largest = Math.Abs(departure) > Math.Abs(largest) ? departure : largest;
        }

        return largest;
    }
}
