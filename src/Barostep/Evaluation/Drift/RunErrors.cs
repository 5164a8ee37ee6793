using Barostep.Configuration;
using Barostep.Records;

namespace Barostep.Evaluation.Drift;

/// <summary>The error of indication at one point of a run, with what is known of its uncertainty; shares of span.</summary>
/// <param name="ExpandedUncertaintyOfSpan">U of the run's budget; null where no standard was known.</param>
/// <param name="CoverageFactor">k that it is stated with; null with it.</param>
/// <param name="ScatterOfSpan">Experimental standard deviation of the mean; null for one sample.</param>
public sealed record PointError(
    int Index,
    int Cycle,
    SeriesDirection Direction,
    double NominalPascals,
    double ErrorOfSpan,
    double? ExpandedUncertaintyOfSpan,
    double? CoverageFactor,
    double? ScatterOfSpan)
{
    /// <summary>Standard uncertainty: of the budget, or of the scatter alone where no standard was known.</summary>
    public double StandardUncertaintyOfSpan => ExpandedUncertaintyOfSpan / CoverageFactor ?? ScatterOfSpan ?? 0;
}

/// <summary>What a device's history needs of one of its runs.</summary>
/// <param name="Stage">Null where the run was made for no job.</param>
/// <param name="Points">Those with figures.</param>
public sealed record RunErrors(
    string RunId,
    DateTimeOffset StartedUtc,
    DeviceDefinition Device,
    bool Simulated,
    RunOutcome Outcome,
    JobStage? Stage,
    IReadOnlyList<PointError> Points)
{
    public static RunErrors Of(RunResult result)
    {
        RunRecord run = result.Record;
        double span = run.Device.SpanPascals;
        return new RunErrors(
            run.Id,
            run.StartedUtc,
            run.Device,
            run.Simulated,
            run.Outcome,
            run.Job?.Stage,
            [.. result.Points.Where(point => point.Values is not null).Select(point => new PointError(
                point.Index, point.Cycle, point.Direction, point.NominalPascals, point.Values!.ErrorOfSpan,
                point.Uncertainty?.Value / span, point.Uncertainty?.CoverageFactor,
                point.Values.ErrorDeviationPascals / Math.Sqrt(point.Values.Count) / span))]);
    }
}
