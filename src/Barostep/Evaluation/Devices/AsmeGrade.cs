namespace Barostep.Evaluation.Devices;

/// <summary>Accuracy grade of a dial gauge after ASME B40.100: one figure for both outer quarters of the span, one for its middle half.</summary>
/// <param name="Name">As the standard calls it: 4A, 3A, 2A, 1A, A, B, C, D.</param>
/// <param name="OuterPercent">Permissible error below 25 % and above 75 % of span, per cent of span.</param>
/// <param name="MiddlePercent">From 25 % to 75 % of span, both included.</param>
public sealed record AsmeGrade(string Name, double OuterPercent, double MiddlePercent)
{
    // A quarter point that was computed still belongs to the middle half.
    private const double Rounding = 1e-9;

    public static readonly IReadOnlyList<AsmeGrade> All =
    [
        new("4A", 0.1, 0.1), new("3A", 0.25, 0.25), new("2A", 0.5, 0.5), new("1A", 1, 1),
        new("A", 2, 1), new("B", 3, 2), new("C", 4, 3), new("D", 5, 5),
    ];

    /// <summary>The grade of that name, or null where there is none.</summary>
    public static AsmeGrade? Find(string name) => All.FirstOrDefault(grade => grade.Name == name);

    /// <summary>Permissible error as a share of span.</summary>
    /// <param name="shareOfSpan">Where on the scale, 0 to 1.</param>
    public double ErrorOfSpan(double shareOfSpan) =>
        (shareOfSpan is >= 0.25 - Rounding and <= 0.75 + Rounding ? MiddlePercent : OuterPercent) / 100;
}
