using Barostep.Daemon.Benchmarks;
using Barostep.Daemon.Commands;

namespace Barostep.Tests.Evaluation;

/// <summary>What is stated with a result, held against the truth of the simulated bench; <c>benchmark coverage</c> does a thousand.</summary>
public class CoverageTests
{
    private const int Devices = 60;

    [Fact]
    public void The_stated_uncertainty_covers_the_true_error_as_often_as_it_says_and_no_device_is_accepted_beyond_the_stated_risk()
    {
        IReadOnlyList<CoveredPoint> points = CoverageBenchmark.Points(ConfigurationFolder.Load(null), seed: 1, Devices);
        double covered = points.Count(point => point.Covered) / (double)points.Count;
        CoveredPoint[] accepted = [.. points.Where(point => point.Accepted)];

        Assert.Equal(10 * Devices, points.Count);
        // The standards' errors are one draw a device: the share scatters by sqrt(0.95 * 0.05 / 60) = 2.8 %.
        Assert.InRange(covered, 0.95 - 0.05, 0.95 + 0.05);
        Assert.InRange(accepted.Length, points.Count / 10, points.Count);
        Assert.InRange(accepted.Count(point => !point.Conforms) / (double)accepted.Length, 0, CoverageBenchmark.MostFalseAccept);
    }
}
