namespace Barostep.Evaluation;

/// <summary>Straight lines between the points of a table.</summary>
internal static class Interpolation
{
    /// <summary>The value at x; outside the table that of its nearest end.</summary>
    /// <param name="xs">Strictly rising, at least one.</param>
    public static double At(ReadOnlySpan<double> xs, ReadOnlySpan<double> ys, double x)
    {
        if (x <= xs[0])
            return ys[0];
        if (x >= xs[^1])
            return ys[^1];
        int above = xs.BinarySearch(x);
        if (above >= 0)
            return ys[above];
        above = ~above;
        double share = (x - xs[above - 1]) / (xs[above] - xs[above - 1]);
        return ys[above - 1] + (share * (ys[above] - ys[above - 1]));
    }
}
