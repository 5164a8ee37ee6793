namespace Barostep.Procedures;

/// <summary>A sequence of loads that a guideline or a standard asks for.</summary>
/// <param name="Name">As it is cited.</param>
/// <param name="Source">Where its figures are from, and whether they were read there.</param>
/// <param name="Lacks">What a procedure lacks of it, each in a few words; empty where it has all.</param>
public sealed record PublishedSequence(string Name, string Source, Func<Procedure, IReadOnlyList<string>> Lacks)
{
    private const string Memory = "figures from memory: compare them with the text before citing it on a certificate";
    private const long ThirtySecondsMicros = 30_000_000;
    private const long TwoMinutesMicros = 120_000_000;

    /// <summary>Every sequence that is known here.</summary>
    public static IReadOnlyList<PublishedSequence> All { get; } =
    [
        new("EURAMET cg-17, basic", "EURAMET I-CAL-GUI-017 v4.1, 5.2.1, as read there", p => Lack(
            Points(p, 6), UpAndDown(p, 1), Repeated(p, [0], 1, 3), Repeated(p, Middle(p), 1, 3))),
        new("EURAMET cg-17, standard", $"EURAMET cg-17 v2.0, 5.2.2; {Memory}", p => Lack(
            Points(p, 11), UpAndDown(p, 1), Repeated(p, [0, 0.2, 0.5, 0.8], 4, 3))),
        new("EURAMET cg-17, comprehensive", $"EURAMET cg-17 v2.0, 5.2.3; {Memory}", p => Lack(Points(p, 11), UpAndDown(p, 3))),
        new("DKD-R 6-1, sequence A", $"DKD-R 6-1 (2014); {Memory}", p => Lack(
            Points(p, 9), Preloads(p, 3), Dwell(p), TopHold(p), UpAndDown(p, 3), Remounted(p, 3))),
        new("DKD-R 6-1, sequence B", $"DKD-R 6-1 (2014); {Memory}", p => Lack(
            Points(p, 9), Preloads(p, 2), Dwell(p), TopHold(p), UpAndDown(p, 1), Rising(p, 2))),
        new("DKD-R 6-1, sequence C", $"DKD-R 6-1 (2014); {Memory}", p => Lack(
            Points(p, 5), Preloads(p, 1), Dwell(p), TopHold(p), UpAndDown(p, 1))),
        new("EN 837-1, classes 0.1 to 0.6", $"EN 837-1; {Memory}", p => Lack(Points(p, 10), UpAndDown(p, 1))),
        new("EN 837-1, classes 1 to 2.5", $"EN 837-1; {Memory}", p => Lack(Points(p, 5), UpAndDown(p, 1))),
        new("EN 837-1, class 4", $"EN 837-1; {Memory}", p => Lack(Points(p, 4), UpAndDown(p, 1))),
        new("IEC 61298-2, measured error over three cycles", $"IEC 61298-2; {Memory}", p => Lack(Points(p, 6), UpAndDown(p, 3))),
    ];

    /// <summary>The sequences of which a procedure has everything.</summary>
    public static IReadOnlyList<PublishedSequence> SatisfiedBy(Procedure procedure)
    {
        ArgumentNullException.ThrowIfNull(procedure);
        // A procedure for switches has no points, and no published sequence is without.
        return procedure.PointsOfSpan.Count == 0 ? [] : [.. All.Where(sequence => sequence.Lacks(procedure).Count == 0)];
    }

    private static List<string> Lack(params string?[] each) => [.. each.OfType<string>()];

    /// <summary>At least so many points over the whole range, no two of them further apart than others by more than half.</summary>
    private static string? Points(Procedure p, int least)
    {
        IReadOnlyList<double> points = p.PointsOfSpan;
        if (points.Count < least)
            return $"{least} points";
        double widest = points.Zip(points.Skip(1), (low, high) => high - low).Max();
        bool whole = points[0] == 0 && points[^1] == 1;
        return whole && widest <= 1.5 / (points.Count - 1) ? null : "points uniformly over the whole range, its ends included";
    }

    private static string? UpAndDown(Procedure p, int cycles) =>
        p.Series.Count(cycle => cycle.Descending) >= cycles ? null : $"{cycles} series up and down";

    private static string? Rising(Procedure p, int series) =>
        p.Series.Count(cycle => cycle.PointsOfSpan.Count == p.PointsOfSpan.Count) >= series ? null : $"{series} rising series";

    private static string? Preloads(Procedure p, int least) =>
        p.Preloads >= least && p.PreloadHoldMicros >= ThirtySecondsMicros ? null : $"{least} preloads, held for 30 s";

    private static string? Dwell(Procedure p) =>
        p.Settle.MinimumDwellMicros >= ThirtySecondsMicros ? null : "30 s from one point to the next";

    private static string? TopHold(Procedure p) => p.TopHoldMicros >= TwoMinutesMicros ? null : "2 min at the upper end";

    private static string? Remounted(Procedure p, int atLeastFrom) =>
        p.RemountBeforeCycle >= atLeastFrom ? null : $"the device mounted again before cycle {atLeastFrom}";

    /// <summary>At least so many of the shares measured rising at least so many times.</summary>
    private static string? Repeated(Procedure p, IReadOnlyList<double> shares, int points, int times) =>
        shares.Count(share => p.Series.Count(cycle => cycle.PointsOfSpan.Any(at => Math.Abs(at - share) < 1e-9)) >= times) >= points
            ? null
            : $"{times} rising measurements at {(points == 1 ? "a point" : $"{points} points")} such as {string.Join(", ", shares.Select(share => $"{share * 100:0} %"))}";

    /// <summary>Points near the middle, 40 % to 60 %.</summary>
    private static List<double> Middle(Procedure p) => p.PointsOfSpan.Where(share => share is >= 0.4 and <= 0.6).DefaultIfEmpty(0.5).ToList();
}
