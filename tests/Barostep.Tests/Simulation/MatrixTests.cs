using Barostep.Daemon.Simulation;
using Barostep.Daemon.Simulation.Faults;

namespace Barostep.Tests.Simulation;

/// <summary>Single faults over kind and size, state, moment and duration: a share of the cells, in an order that leaves none out.</summary>
public class MatrixTests
{
    private const int SeedsPerPart = 250;

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void No_single_fault_violates_an_invariant_at_any_moment_of_any_state(int part)
    {
        for (ulong seed = (ulong)(part * SeedsPerPart); seed < (ulong)((part + 1) * SeedsPerPart); seed++)
        {
            var plan = new WorldPlan(seed, [FaultDraw.Cell(FaultDraw.CellOf(seed))]);
            SeedResult once = SeedRun.Of(Worlds.Source, plan);
            SeedResult again = SeedRun.Of(Worlds.Source, plan);

            Assert.True(once.Violations.Count == 0, Worlds.Told(once));
            Assert.Equal(once.Trace, again.Trace);
        }
    }

    [Fact]
    public void Every_cell_of_the_matrix_is_reached_once_before_any_comes_again()
    {
        var cells = new HashSet<int>(Enumerable.Range(0, FaultDraw.Cells).Select(seed => FaultDraw.CellOf((ulong)seed)));
        Assert.Equal(FaultDraw.Cells, cells.Count);
    }
}
