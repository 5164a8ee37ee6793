using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Daemon.Api;

/// <summary>One evaluated point; its pressures are in the device's own reference.</summary>
/// <param name="Output">A or V; null for a device that tells pressure.</param>
internal sealed record PointView(
    int Index,
    int Cycle,
    SeriesDirection Direction,
    double NominalPascals,
    double? ReferencePascals,
    double? IndicationPascals,
    double? Output,
    double? ErrorPascals,
    double? ErrorOfSpan,
    double? HysteresisOfSpan,
    Conformity Verdict,
    IReadOnlyList<string> Marks)
{
    public static PointView Of(PointResult point) => new(
        point.Index,
        point.Cycle,
        point.Direction,
        point.NominalPascals,
        point.Values?.ReferencePascals,
        point.Values?.IndicationPascals,
        point.Values?.Output,
        point.Values?.ErrorPascals,
        point.Values?.ErrorOfSpan,
        point.HysteresisOfSpan,
        point.Conformity,
        [.. Enum.GetValues<PointMarks>().Where(mark => mark != PointMarks.None && point.Marks.HasFlag(mark)).Select(Words)]);

    private static string Words(PointMarks mark) => mark switch
    {
        PointMarks.Unsettled => "unsettled",
        PointMarks.WrongApproach => "approached from the wrong side",
        PointMarks.VoidSamples => "void samples",
        _ => throw new ArgumentOutOfRangeException(nameof(mark), mark, "unknown mark"),
    };
}

/// <summary>The points of a run, for a table and a plot.</summary>
/// <param name="Run">Id of the run; empty where there is none.</param>
/// <param name="Expected">How many there will be.</param>
internal sealed record PointsView(string Run, int Expected, IReadOnlyList<PointView> Points);
