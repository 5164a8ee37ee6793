using Barostep.Daemon.Benchmarks;
using Barostep.Safety;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Benchmarks;

public class OvershootBenchmarkTests
{
    [Fact]
    [Trait("SR", "02, 15")]
    public void No_random_bench_with_its_fill_wide_open_passes_the_predicted_worst_and_the_prediction_is_not_idle()
    {
        IReadOnlyList<OvershootOutcome> outcomes = OvershootBenchmark.Outcomes(ShippedConfiguration.Load().Configuration, seed: 7, benches: 60);

        Assert.All(outcomes, outcome => Assert.True(outcome.PeakPascals <= outcome.WorstPascals, $"{outcome}"));
        foreach (TripPath path in new[] { TripPath.Level, TripPath.Stale })
        {
            double[] shares = [.. outcomes.Where(outcome => outcome.Path == path && outcome.Reached).Select(outcome => outcome.Share).Order()];
            Assert.True(shares.Length > 15, $"only {shares.Length} benches passed the ceiling on the path {path}");
            // Phases at random, gas that cools and flow that is not choked leave about half of the worst.
            Assert.True(shares[shares.Length / 2] > 0.3, $"{path}: median {shares[shares.Length / 2]}");
        }
    }
}
