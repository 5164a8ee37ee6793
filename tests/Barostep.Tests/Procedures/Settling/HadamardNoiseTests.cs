using Barostep.Procedures.Settling;
using Barostep.Simulators.Instruments;

namespace Barostep.Tests.Procedures.Settling;

public class HadamardNoiseTests
{
    /// <summary>NIST Special Publication 1065, table 29: the frequency data of NBS Monograph 140, annex 8.E.</summary>
    private static readonly double[] _nbs = [892, 809, 823, 798, 671, 644, 883, 903, 677];

    [Theory]
    // NIST Special Publication 1065, table 30, overlapping Hadamard deviation at averaging factors 1 and 2.
    [InlineData(1, 70.80607)]
    [InlineData(2, 85.61487)]
    public void The_published_series_gives_the_published_deviation(int factor, double published) =>
        Assert.Equal(published, Math.Sqrt(HadamardNoise.Overlapping(_nbs, factor)), 5);

    [Fact]
    public void A_drift_and_a_constant_add_no_noise()
    {
        double[] noise = Noise(60, 3);
        double[] drifting = [.. noise.Select((value, i) => value + 1000 + (5.0 * i))];

        Assert.Equal(HadamardNoise.Variance(noise)!.Value, HadamardNoise.Variance(drifting)!.Value, 6);
    }

    [Fact]
    public void White_noise_comes_out_at_its_own_variance_on_average()
    {
        double[] variances = [.. Enumerable.Range(0, 400).Select(i => HadamardNoise.Overlapping(Noise(60, (ulong)i), 1))];

        Assert.InRange(variances.Average(), 0.95, 1.05);
    }

    [Fact]
    public void Wandering_noise_counts_for_more_than_its_neighbours_show()
    {
        double sum = 0;
        double[] wandering = [.. Noise(60, 9).Select(value => sum += value)];

        Assert.True(HadamardNoise.Variance(wandering) > 1.5 * HadamardNoise.Overlapping(wandering, 1));
    }

    [Fact]
    public void A_steep_beginning_does_not_count_as_noise()
    {
        double[] noise = Noise(60, 4);
        double[] relaxing = [.. noise.Select((value, i) => value + (5000 * Math.Exp(-i / 3.0)))];

        Assert.InRange(HadamardNoise.Variance(relaxing)!.Value / HadamardNoise.Variance(noise)!.Value, 0.5, 4);
    }

    [Fact]
    public void Too_few_readings_say_nothing() => Assert.Null(HadamardNoise.Variance([1, 2, 1, 2, 1, 2, 1]));

    private static double[] Noise(int count, ulong seed)
    {
        var random = new Pcg32(seed, 5);
        return [.. Enumerable.Range(0, count).Select(_ => random.NextNormal())];
    }
}
