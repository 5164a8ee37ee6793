namespace Barostep.Evaluation.Decisions;

/// <summary>What is permitted (JCGM 106:2012 3.3.5), or what is accepted (3.3.9): from a lower to an upper limit.</summary>
/// <param name="Lower">Null where there is no lower limit.</param>
/// <param name="Upper">Null where there is no upper limit.</param>
public readonly record struct ToleranceInterval(double? Lower, double? Upper)
{
    /// <summary>Accepts nothing: what is left where a guard band eats the whole interval.</summary>
    public bool IsEmpty => Lower > Upper;

    /// <summary>Half its width; infinite with one limit only.</summary>
    public double HalfWidth => Lower is { } lower && Upper is { } upper ? (upper - lower) / 2 : double.PositiveInfinity;

    /// <summary>±limit about 0, as for an error of indication.</summary>
    public static ToleranceInterval Around0(double limit) => new(-limit, limit);

    /// <summary>Narrowed on every side that has a limit; widened where the guard band is negative.</summary>
    public ToleranceInterval Guarded(double guardBand) => new(Lower + guardBand, Upper - guardBand);

    /// <summary>Whether a value lies within; one that differs from a limit by no more than the slack is on it, and within.</summary>
    public bool Contains(double value, double slack = 0) =>
        !IsEmpty && !(value < Lower - slack) && !(value > Upper + slack);
}
