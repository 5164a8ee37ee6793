using Barostep.Daemon.Simulation;
using Barostep.Daemon.Simulation.Faults;

namespace Barostep.Tests.Simulation;

/// <summary>Two faults at once, over kinds, states, moments and durations: a share of the pairs, in an order that leaves no pair of kinds out.</summary>
public class PairTests
{
    private const int SeedsPerPart = 60;

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void No_pair_of_faults_violates_an_invariant(int part)
    {
        for (ulong seed = (ulong)(part * SeedsPerPart); seed < (ulong)((part + 1) * SeedsPerPart); seed++)
        {
            var plan = new WorldPlan(seed, FaultDraw.Pair(seed));
            SeedResult once = SeedRun.Of(Worlds.Source, plan);
            SeedResult again = SeedRun.Of(Worlds.Source, plan);

            Assert.True(once.Violations.Count == 0, Worlds.Told(once));
            Assert.Equal(once.Trace, again.Trace);
        }
    }

    [Fact]
    public void Every_pair_of_kinds_comes_once_before_any_comes_again()
    {
        var pairs = new HashSet<string>();
        for (int seed = 0; seed < FaultDraw.KindPairs; seed++)
        {
            IReadOnlyList<PlannedFault> pair = FaultDraw.Pair((ulong)seed);
            pairs.Add(string.Join('+', pair.Select(fault => fault.Kind.Name).Order(StringComparer.Ordinal)));
        }

        Assert.Equal(FaultDraw.KindPairs, pairs.Count);
    }

    [Fact]
    public void Half_of_the_pairs_begin_in_the_same_state()
    {
        int same = Enumerable.Range(0, 1000).Select(seed => FaultDraw.Pair((ulong)seed)).Count(pair => pair[0].When.State is { } state && pair[1].When.State == state);

        // A third of the others falls at a time, and a tenth of the rest into the same state by chance.
        Assert.InRange(same, 450, 620);
    }
}
