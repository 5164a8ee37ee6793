using Barostep.Records;

namespace Barostep.Evaluation.Drift;

/// <summary>The error of indication at one place on one day.</summary>
/// <param name="ErrorOfSpan">Mean of all cycles of the run.</param>
/// <param name="ExpandedUncertaintyOfSpan">U of it, k = 2.</param>
public sealed record DatedError(DateOnly On, string RunId, double ErrorOfSpan, double ExpandedUncertaintyOfSpan);

/// <summary>The errors at one nominal pressure in one direction since the last adjustment, oldest first.</summary>
public sealed record ErrorSeries(double NominalOfSpan, SeriesDirection Direction, IReadOnlyList<DatedError> Errors)
{
    /// <summary>Gathers the series of one device from its runs.</summary>
    /// <remarks>
    /// Completed runs count, as found; simulated ones only where the newest run is simulated too. A run as left begins all
    /// series anew, since an error from before an adjustment foretells nothing.
    /// </remarks>
    /// <param name="runs">All runs of one device, oldest first.</param>
    public static IReadOnlyList<ErrorSeries> Of(IReadOnlyList<RunRecord> runs)
    {
        ArgumentNullException.ThrowIfNull(runs);
        RunRecord[] completed = [.. runs.Where(run => run.Outcome == RunOutcome.Completed && run.Simulated == runs[^1].Simulated)];
        int start = Math.Max(0, Array.FindLastIndex(completed, run => run.Job is { Stage: JobStage.AsLeft }));
        var series = new SortedDictionary<(long Nominal, SeriesDirection Direction), List<DatedError>>();
        foreach (RunRecord run in completed[start..])
        {
            foreach (IGrouping<(long, SeriesDirection), PointResult> place in RunEvaluation.Evaluate(run).Points
                .Where(point => point.Values is not null)
                .GroupBy(point => (Nominal.Key(run.Device, point.NominalPascals), point.Direction)))
            {
                if (!series.TryGetValue(place.Key, out List<DatedError>? errors))
                    series[place.Key] = errors = [];
                errors.Add(ErrorOf(run, [.. place]));
            }
        }

        return [.. series.Select(place => new ErrorSeries(Nominal.ShareOfKey(place.Key.Nominal), place.Key.Direction, place.Value))];
    }

    private static DatedError ErrorOf(RunRecord run, PointResult[] cycles) => new(
        DateOnly.FromDateTime(run.StartedUtc.UtcDateTime),
        run.Id,
        Statistics.Mean([.. cycles.Select(point => point.Values!.ErrorOfSpan)]),
        ErrorUncertainty.ExpandedOfSpan(run, cycles));
}
