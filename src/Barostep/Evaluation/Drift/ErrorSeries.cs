using Barostep.Records;

namespace Barostep.Evaluation.Drift;

/// <summary>The error of indication at one place on one day.</summary>
/// <param name="ErrorOfSpan">Mean of all cycles of the run.</param>
/// <param name="ExpandedUncertaintyOfSpan">U of it from the run's budget, with k = 2 so that all dates compare.</param>
public sealed record DatedError(DateOnly On, string RunId, double ErrorOfSpan, double ExpandedUncertaintyOfSpan)
{
    public const double CoverageFactor = 2;
}

/// <summary>The errors at one nominal pressure in one direction since the last adjustment, oldest first.</summary>
public sealed record ErrorSeries(double NominalOfSpan, SeriesDirection Direction, IReadOnlyList<DatedError> Errors)
{
    /// <summary>Keeps weights finite where a record tells nothing: far below what any reading resolves.</summary>
    private const double LeastOfSpan = 1e-9;

    /// <summary>Gathers the series of one device from its runs.</summary>
    /// <remarks>
    /// Completed runs count, as found; simulated ones only where the newest run is simulated too. A run as left begins all
    /// series anew, since an error from before an adjustment foretells nothing.
    /// </remarks>
    /// <param name="runs">All runs of one device, oldest first.</param>
    public static IReadOnlyList<ErrorSeries> Of(IReadOnlyList<RunErrors> runs)
    {
        ArgumentNullException.ThrowIfNull(runs);
        RunErrors[] completed = [.. runs.Where(run => run.Outcome == RunOutcome.Completed && run.Simulated == runs[^1].Simulated)];
        int start = Math.Max(0, Array.FindLastIndex(completed, run => run.Stage == JobStage.AsLeft));
        var series = new SortedDictionary<(long Nominal, SeriesDirection Direction), List<DatedError>>();
        foreach (RunErrors run in completed[start..])
        {
            foreach (IGrouping<(long, SeriesDirection), PointError> place in run.Points
                .GroupBy(point => (Nominal.Key(run.Device, point.NominalPascals), point.Direction)))
            {
                if (!series.TryGetValue(place.Key, out List<DatedError>? errors))
                    series[place.Key] = errors = [];
                errors.Add(ErrorOf(run, [.. place]));
            }
        }

        return [.. series.Select(place => new ErrorSeries(Nominal.ShareOfKey(place.Key.Nominal), place.Key.Direction, place.Value))];
    }

    // The budget of each cycle holds the repeatability already, and what is common to all cycles does not average out.
    private static DatedError ErrorOf(RunErrors run, PointError[] cycles) => new(
        DateOnly.FromDateTime(run.StartedUtc.UtcDateTime),
        run.RunId,
        Statistics.Mean([.. cycles.Select(point => point.ErrorOfSpan)]),
        DatedError.CoverageFactor * Math.Max(LeastOfSpan, cycles.Max(point => point.StandardUncertaintyOfSpan)));
}
