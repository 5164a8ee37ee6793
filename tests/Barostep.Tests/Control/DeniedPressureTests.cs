using Barostep.Procedures;
using Barostep.Records;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Control;

/// <summary>A guard that does not permit pressure is not waited for in silence.</summary>
public class DeniedPressureTests
{
    [Theory]
    [InlineData("fault controller reset-limit", "The source's own upper limit is not what was set", true)]
    // What tells another unit proves no vent either.
    [InlineData("fault controller unit mbar", "pressure source on port controller: it tells another unit", false)]
    [Trait("SR", "12")]
    public void A_source_that_stands_in_the_way_before_any_pressure_ends_the_run_with_the_cause_in_words(string fault, string told, bool ventConfirmed)
    {
        // Long enough at the zero for the source's limit to be read again.
        Procedure slow = SimulatedRun.Short(ShippedConfiguration.Load().Configuration.Procedures["five-point"]);
        slow = slow with { Settle = slow.Settle with { MinimumDwellMicros = 40_000_000 } };
        using SimulatedRun run = new SimulatedRun(slow).Until(r => r.Phase == RunPhase.Zeroing, 60);
        run.Simulated.Inject(fault);
        run.Until(r => r.Ended, 120);
        Assert.True(run.Record.Outcome == RunOutcome.InstrumentFailure, $"{run.Record.Outcome}: {run.Record.OutcomeReason}");
        Assert.StartsWith("the guard does not permit pressure: ", run.Record.OutcomeReason, StringComparison.Ordinal);
        // The dump valve was tested before, with less than 5 % of the 17 bar up to the ceiling.
        Assert.InRange(run.HighestTruePascals - run.Simulated.Truth.AtmospherePa, -500, 85_000);
        Assert.Contains(told, run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.Equal(ventConfirmed, run.Record.VentConfirmed);
    }
}
