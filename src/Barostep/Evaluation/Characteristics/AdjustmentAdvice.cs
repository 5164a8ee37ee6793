namespace Barostep.Evaluation.Characteristics;

/// <summary>What a trim does to a device's errors; shares of span.</summary>
/// <param name="Zero">To be added to the indication at the lower range end.</param>
/// <param name="Span">To be added at the upper range end over and above <paramref name="Zero"/>.</param>
/// <param name="LargestErrorAfter">Magnitude of the largest error that would be left.</param>
public sealed record Trim(double Zero, double Span, double LargestErrorAfter)
{
    public double ErrorAfter(double nominalOfSpan, double errorOfSpan) => errorOfSpan + Zero + (Span * nominalOfSpan);

    public bool BringsInside(double toleranceOfSpan) => LargestErrorAfter <= toleranceOfSpan;
}

/// <summary>The zero and span trims that centre a device's errors: the least largest error that a trim can reach.</summary>
/// <param name="LargestErrorNow">Without any.</param>
/// <param name="ZeroOnly">A parallel shift by the negative middle between the largest and the least error.</param>
/// <param name="ZeroAndSpan">The negative of the best straight line through all errors (<see cref="LineKind.Independent"/>); null with one nominal only.</param>
public sealed record AdjustmentAdvice(double LargestErrorNow, Trim ZeroOnly, Trim? ZeroAndSpan)
{
    /// <summary>From all single errors, not from means: each of them will be judged again.</summary>
    /// <exception cref="ArgumentException">There are no errors.</exception>
    public static AdjustmentAdvice For(IReadOnlyList<SeriesError> errors)
    {
        if (errors.Count == 0)
            throw new ArgumentException("no errors were measured", nameof(errors));
        double[] x = [.. errors.Select(error => error.NominalOfSpan)];
        double[] y = [.. errors.Select(error => error.ErrorOfSpan)];
        double shift = -(y.Max() + y.Min()) / 2;
        Trim zeroOnly = new(shift, 0, (y.Max() - y.Min()) / 2);
        if (x.Distinct().Count() < 2)
            return new AdjustmentAdvice(y.Max(Math.Abs), zeroOnly, null);
        Linearity line = Linearity.Of(LineKind.Independent, x, y);
        return new AdjustmentAdvice(y.Max(Math.Abs), zeroOnly, new Trim(-line.Intercept, -line.Slope, Math.Abs(line.LargestDeparture)));
    }

    /// <summary>In words: what to do, and whether it helps.</summary>
    public string InWords(double toleranceOfSpan)
    {
        string limit = $"±{Percent(toleranceOfSpan, toleranceOfSpan)} %";
        if (LargestErrorNow <= toleranceOfSpan)
            return $"inside {limit} of span as it is; the largest error is {Percent(LargestErrorNow, toleranceOfSpan)} %";
        if (ZeroOnly.BringsInside(toleranceOfSpan))
            return $"shift the zero by {Signed(ZeroOnly.Zero, toleranceOfSpan)} % of span; the largest error left is {Percent(ZeroOnly.LargestErrorAfter, toleranceOfSpan)} %, inside {limit}{Better(toleranceOfSpan)}";
        if (ZeroAndSpan is { } both && both.BringsInside(toleranceOfSpan))
            return $"shift the zero by {Signed(both.Zero, toleranceOfSpan)} % and the span by {Signed(both.Span, toleranceOfSpan)} % of span; the largest error left is {Percent(both.LargestErrorAfter, toleranceOfSpan)} %, inside {limit}";
        double least = Math.Min(ZeroOnly.LargestErrorAfter, ZeroAndSpan?.LargestErrorAfter ?? double.PositiveInfinity);
        return $"no adjustment of zero and span brings it inside {limit} of span; the least largest error is {Percent(least, toleranceOfSpan)} %";
    }

    // Where the zero alone suffices, the span may still be worth a turn.
    private string Better(double tolerance) => ZeroAndSpan is { } both && both.LargestErrorAfter < ZeroOnly.LargestErrorAfter / 2
        ? $"; with zero {Signed(both.Zero, tolerance)} % and span {Signed(both.Span, tolerance)} % it would be {Percent(both.LargestErrorAfter, tolerance)} %"
        : string.Empty;

    private static string Percent(double share, double tolerance) => ResultFormat.Plain(share * 100, ResultFormat.DecimalsFor(tolerance * 100));

    private static string Signed(double share, double tolerance) => ResultFormat.Signed(share * 100, ResultFormat.DecimalsFor(tolerance * 100));
}
