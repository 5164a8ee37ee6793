using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Control;

/// <summary>Faults after which nobody can tell whether the bench is vented: the run says so and ends, it does not wait for ever.</summary>
public class UnprovableVentTests
{
    private const double BenchSeconds = 75;

    [Theory]
    [InlineData("fault reference garbage 200", "reference on port reference")]
    [InlineData("fault reference garbage 20", "reference on port reference")]
    [InlineData("fault controller garbage 200", "pressure source on port controller")]
    [InlineData("fault controller garbage 20", "pressure source on port controller")]
    [Trait("SR", "16, 31")]
    public void A_line_that_is_unreadable_from_the_start_is_the_instruments_failure(string fault, string named)
    {
        using SimulatedRun run = Broken(fault).Until(r => r.Ended, BenchSeconds);
        Assert.True(run.Record.Outcome == RunOutcome.InstrumentFailure, $"{run.Record.Outcome}: {run.Record.OutcomeReason}");
        Assert.Contains(named, run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.False(run.Record.VentConfirmed);
        AssertNeverPressurised(run);
    }

    [Theory]
    [InlineData("fault reference garbage 200", "reference on port reference")]
    [InlineData("fault reference garbage 20", "reference on port reference")]
    [InlineData("fault controller garbage 200", "pressure source on port controller")]
    [InlineData("fault reference unit mbar", "reference on port reference")]
    [InlineData("fault reference sensor freeze on", "sensor")]
    [InlineData("fault reference sensor overrange on", "reference on port reference")]
    [Trait("SR", "16, 31")]
    public void A_line_that_goes_bad_before_the_first_pressure_ends_the_run_soon(string fault, string named)
    {
        using SimulatedRun run = Broken($"at 30 {fault}").Until(r => r.Ended, 30 + BenchSeconds);
        AssertGivenUp(run, named);
    }

    [Theory]
    [InlineData("fault reference garbage 200", "reference on port reference")]
    [InlineData("fault reference garbage 20", "reference on port reference")]
    [InlineData("fault controller garbage 200", "pressure source on port controller")]
    [InlineData("fault reference unit mbar", "reference on port reference")]
    [InlineData("fault reference sensor freeze on", "sensor")]
    [Trait("SR", "16, 31")]
    public void A_line_that_goes_bad_under_pressure_ends_the_run_soon(string fault, string named)
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Simulated.Truth.PressurePa > 800_000, 600);
        run.Simulated.Inject(fault);
        run.Until(r => r.Ended, BenchSeconds);
        AssertGivenUp(run, named);
        Assert.InRange(run.Simulated.Truth.PressurePa - run.Simulated.Truth.AtmospherePa, -1_000, 1_000);
    }

    [Theory]
    [InlineData("fault reference silence on", "reference on port reference")]
    [InlineData("fault controller silence on", "pressure source on port controller")]
    [Trait("SR", "15")]
    public void The_reason_of_a_stale_trip_names_the_port(string fault, string named)
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Simulated.Truth.PressurePa > 800_000, 600);
        run.Simulated.Inject(fault);
        run.Until(r => r.Ended, BenchSeconds);
        Assert.Equal(RunOutcome.InstrumentFailure, run.Record.Outcome);
        Assert.Contains(named, run.Record.OutcomeReason, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "23")]
    public void Two_instruments_of_different_speed_that_were_swapped_are_both_named_at_the_ready_time_out()
    {
        using SimulatedRun run = Broken("fault ports swap controller reference");
        run.Simulated.Inject("fault controller wrong-speed on");
        run.Simulated.Inject("fault reference wrong-speed on");
        run.Until(r => r.Ended, BenchSeconds);
        Assert.True(run.Record.Outcome == RunOutcome.InstrumentFailure, $"{run.Record.Outcome}: {run.Record.OutcomeReason}");
        Assert.Contains("reference on port reference", run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.Contains("pressure source on port controller", run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.Equal(Cause.None, run.Bench.Snapshot.FirstCause);
        AssertNeverPressurised(run);
    }

    private static SimulatedRun Broken(string fault)
    {
        var run = new SimulatedRun();
        run.Simulated.Inject(fault);
        return run;
    }

    private static void AssertGivenUp(SimulatedRun run, string named)
    {
        string told = $"{run.Record.Outcome}: {run.Record.OutcomeReason}";
        Assert.True(run.Record.Outcome is RunOutcome.InstrumentFailure or RunOutcome.Tripped, told);
        Assert.Contains(named, told, StringComparison.OrdinalIgnoreCase);
        Assert.False(run.Record.VentConfirmed, told);
    }

    private static void AssertNeverPressurised(SimulatedRun run) =>
        Assert.InRange(run.HighestTruePascals - run.Simulated.Truth.AtmospherePa, -500, 500);
}
