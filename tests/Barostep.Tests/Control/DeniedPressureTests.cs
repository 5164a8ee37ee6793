using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Tests.Control;

/// <summary>A guard that does not permit pressure is not waited for in silence.</summary>
public class DeniedPressureTests
{
    [Theory]
    [InlineData("fault controller ignore on", RunOutcome.InstrumentFailure)]
    [InlineData("fault controller reset-limit", RunOutcome.InstrumentFailure)]
    [InlineData("fault controller unit mbar", RunOutcome.InstrumentFailure)]
    [Trait("SR", "12")]
    public void A_source_that_stands_in_the_way_before_any_pressure_ends_the_run_with_the_cause_in_words(string fault, RunOutcome outcome)
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Phase == RunPhase.Zeroing, 60);
        run.Simulated.Inject(fault);
        run.Until(r => r.Ended, 120);
        Assert.True(run.Record.Outcome == outcome, $"{run.Record.Outcome}: {run.Record.OutcomeReason}");
        Assert.Contains("source", run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.Empty(run.Record.Points);
    }
}
