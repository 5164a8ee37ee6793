using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Tests.EndToEnd;

/// <summary>Runs with further series, on a simulated bench and virtual time.</summary>
[Collection(RealPrograms.Name)]
public sealed class SequenceRunTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public void A_run_with_a_mounting_a_rising_last_cycle_and_repeats_is_complete_and_judged()
    {
        string quick = Workshop.Quick.Replace("cycles = 1", "cycles = 2\nlast_cycle_rises_only = true\ntop_hold = \"5 s\"", StringComparison.Ordinal)
            + "\n[remount]\nbefore_cycle = 2\npreloads = 0\n\n[repeat]\npoints_of_span = [\"5 %\"]\ntimes = 2\n";
        File.WriteAllText(Path.Combine(_workshop.Config, "procedures", "quick.toml"), quick);
        RunResult result = VirtualRun.Of(VirtualRun.Job(_workshop, "demo", "transmitter-16bar", "quick"), _workshop.BenchFile("demo"));

        Assert.Equal(Conformity.Passed, result.Conformity);
        Assert.Equal(
            [(1, 3, 3), (2, 3, 0), (3, 1, 0), (4, 1, 0)],
            result.Record.Points.GroupBy(point => point.Cycle).Select(cycle => (
                cycle.Key,
                cycle.Count(point => point.Direction == SeriesDirection.Ascending),
                cycle.Count(point => point.Direction == SeriesDirection.Descending))));
        PointRecord top = result.Record.Points[3];
        Assert.True(top.SettledMicros - top.ReachedMicros >= 5_000_000);
    }
}
