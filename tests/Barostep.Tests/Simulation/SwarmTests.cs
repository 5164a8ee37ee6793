using Barostep.Daemon.Simulation;
using Barostep.Daemon.Simulation.Checkers;

namespace Barostep.Tests.Simulation;

/// <summary>Worlds with faults by the hundred; what is tried moves on with the table below, not with the clock.</summary>
public class SwarmTests
{
    private const int SeedsPerPart = 250;

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void No_invariant_is_violated_and_every_seed_repeats_to_the_bit(int part)
    {
        for (ulong seed = (ulong)(part * SeedsPerPart); seed < (ulong)((part + 1) * SeedsPerPart); seed++)
        {
            SeedResult once = Worlds.Swarm(seed);
            SeedResult again = Worlds.Swarm(seed);

            Assert.True(once.Violations.Count == 0, Worlds.Told(once));
            Assert.Equal(once.Trace, again.Trace);
        }
    }

    [Fact]
    public void Healthy_worlds_never_trip()
    {
        int compared = 0;
        int beyond = 0;
        for (ulong seed = 5000; seed < 5060; seed++)
        {
            SeedResult result = Worlds.Run(seed, string.Empty, watch: world =>
            {
                ResultChecker results = world.Checkers.OfType<ResultChecker>().Single();
                compared += results.Compared;
                beyond += results.Beyond;
            });
            Assert.True(result.Violations.Count == 0, Worlds.Told(result));
            Assert.Equal("Completed, Completed", result.Outcomes);
        }

        // One result in twenty may be off by more than it says; twice that share of some two hundred would be no chance.
        Assert.True(compared > 150, $"only {compared} points were compared");
        Assert.True(beyond <= compared / 10, $"{beyond} of {compared} results are off by more than their uncertainty");
    }
}
