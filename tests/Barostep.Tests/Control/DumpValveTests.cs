using Barostep.Control;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Control;

/// <summary>The test of the dump valve that goes before every run.</summary>
public sealed class DumpValveTests
{
    /// <summary>5 % of the 17 bar up to the ceiling (SR-34).</summary>
    private const double MostOfATest = 85_000;

    [Fact]
    [Trait("SR", "34")]
    public void A_run_begins_with_a_pulse_below_five_percent_of_the_ceiling_that_the_dump_valve_takes_away()
    {
        bool opened = false;
        using SimulatedRun run = new SimulatedRun().Until(
            r =>
            {
                opened |= r.Bench.Snapshot.Phase == GuardPhase.Testing && r.Simulated.Truth.DumpOpening > 0.99 && Rise(r) > 20_000;
                return r.Phase == RunPhase.Zeroing;
            },
            60);

        Assert.True(opened, "the valve was not seen open with pressure behind it");
        Assert.Equal(DumpTestState.Passed, run.Bench.Snapshot.DumpTest);
        Assert.InRange(run.HighestTruePascals - run.Simulated.Truth.AtmospherePa, 50_000, MostOfATest);
        Assert.InRange(Rise(run), -1_000, 1_000);
    }

    [Theory]
    // The contact tells an open valve that is stuck; only the gas shows it.
    [InlineData("fault plant dump stuck 0", "The dump valve did not take the pressure away")]
    [InlineData("fault plant leak 5e-10", "leaks too fast to test its dump valve")]
    [Trait("SR", "34")]
    public void A_valve_that_fails_its_test_refuses_the_run_and_the_bench_is_vented(string fault, string reason)
    {
        using SimulatedRun run = new();
        run.Simulated.Inject(fault);
        run.Until(r => r.Ended, 200);

        Assert.True(run.Record.Outcome == RunOutcome.Refused, $"{run.Record.Outcome}: {run.Record.OutcomeReason}");
        Assert.Contains(reason, run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.True(run.Record.VentConfirmed);
        Assert.InRange(run.HighestTruePascals - run.Simulated.Truth.AtmospherePa, 0, MostOfATest);
        Assert.InRange(Rise(run), -1_000, 1_000);
    }

    [Fact]
    [Trait("SR", "08, 34")]
    public void Sensors_that_disagree_in_the_test_end_the_run_before_more_pressure_is_made()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Phase == RunPhase.Venting, 30);
        run.Simulated.Inject("fault reference sensor gain 0.8");
        run.Until(r => r.Ended, 200);

        Assert.True(run.Record.Outcome == RunOutcome.Tripped, $"{run.Record.Outcome}: {run.Record.OutcomeReason}");
        Assert.True(run.HighestTruePascals - run.Simulated.Truth.AtmospherePa < MostOfATest * 1.25);
    }

    private static double Rise(SimulatedRun run) => run.Simulated.Truth.PressurePa - run.Simulated.Truth.AtmospherePa;
}
