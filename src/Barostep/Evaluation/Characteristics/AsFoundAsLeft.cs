using Barostep.Records;

namespace Barostep.Evaluation.Characteristics;

/// <summary>The mean error at one point of a device before and after it was adjusted; shares of span.</summary>
public sealed record PointChange(double NominalOfSpan, SeriesDirection Direction, double FoundOfSpan, double LeftOfSpan)
{
    public double ChangeOfSpan => LeftOfSpan - FoundOfSpan;
}

/// <summary>A device as it came and as it goes.</summary>
/// <param name="Changes">At the points that both runs read, by direction and rising nominal.</param>
/// <param name="LargestFound">Magnitude of the largest single error as found.</param>
/// <param name="LargestLeft">And as left.</param>
/// <param name="Found">Verdict as found.</param>
/// <param name="Left">And as left.</param>
public sealed record AsFoundAsLeft(IReadOnlyList<PointChange> Changes, double LargestFound, double LargestLeft, Conformity Found, Conformity Left)
{
    /// <summary>What was measured with the device since its last calibration is in doubt.</summary>
    public bool PastReadingsAreInDoubt => Found == Conformity.Failed;

    /// <exception cref="ArgumentException">The two runs are of different devices, or one has no figures.</exception>
    public static AsFoundAsLeft Compare(RunResult found, RunResult left)
    {
        ArgumentNullException.ThrowIfNull(found);
        ArgumentNullException.ThrowIfNull(left);
        if (found.Record.Device.SerialNumber != left.Record.Device.SerialNumber || found.Record.Device.Model != left.Record.Device.Model)
            throw new ArgumentException($"as found is {Named(found)} and as left {Named(left)}; compare two runs of one device", nameof(left));
        MeasuredErrors before = MeasuredErrors.Of(found);
        MeasuredErrors after = MeasuredErrors.Of(left);
        return new AsFoundAsLeft(
            [.. Enum.GetValues<SeriesDirection>().SelectMany(direction => Common(before, after, direction))],
            before.Largest,
            after.Largest,
            found.Conformity,
            left.Conformity);
    }

    private static string Named(RunResult result) => $"{result.Record.Device.Model} serial {result.Record.Device.SerialNumber}";

    private static IEnumerable<PointChange> Common(MeasuredErrors before, MeasuredErrors after, SeriesDirection direction) =>
        from was in before.Means
        join now in after.Means on was.NominalOfSpan equals now.NominalOfSpan
        let found = direction == SeriesDirection.Ascending ? was.Up : was.Down
        let left = direction == SeriesDirection.Ascending ? now.Up : now.Down
        where found is not null && left is not null
        select new PointChange(was.NominalOfSpan, direction, found.Value, left.Value);
}
