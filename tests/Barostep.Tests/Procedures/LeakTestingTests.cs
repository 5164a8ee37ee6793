using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

[Trait("SR", "11")]
public class LeakTestingTests
{
    // At most 0.1 % of span a minute: 26.7 Pa/s.
    private static readonly Procedure Tested =
        Exercises.TwoPoints with { LeakTest = new LeakTest(0.8, 2_000_000, 6_000_000, 0.001) };

    [Fact]
    public void A_tight_bench_passes_with_the_slope_that_was_seen()
    {
        Rehearsal run = new Rehearsal(Tested) { LeakPascalsPerSecond = 20 }.ToTheEnd();
        LeakTestRecord result = Result(run);
        Assert.True(result.Tight);
        Assert.Equal(-20, result.RatePascalsPerSecond, 3);
        Assert.Equal(0.001 * Exercises.SpanPascals / 60, result.LimitPascalsPerSecond, 9);
        Assert.Equal(0.8 * Exercises.SpanPascals, result.PressurePascals, 3);
        Assert.Equal(RunOutcome.Completed, run.Ending.Outcome);
    }

    [Fact]
    public void A_leaking_bench_ends_the_run_before_any_point_with_the_slope_that_was_seen()
    {
        Rehearsal run = new Rehearsal(Tested) { LeakPascalsPerSecond = 40 }.ToTheEnd();
        Assert.False(Result(run).Tight);
        Assert.Equal(-40, Result(run).RatePascalsPerSecond, 3);
        Assert.Equal(RunOutcome.Aborted, run.Ending.Outcome);
        Assert.Contains("not tight", run.Ending.Reason, StringComparison.Ordinal);
        Assert.Empty(run.Points);
        Assert.True(run.Ending.VentConfirmed);
    }

    [Fact]
    public void A_rise_is_no_more_tight_than_a_fall()
    {
        Rehearsal run = new Rehearsal(Tested) { LeakPascalsPerSecond = -40 }.ToTheEnd();
        Assert.Equal(40, Result(run).RatePascalsPerSecond, 3);
        Assert.Equal(RunOutcome.Aborted, run.Ending.Outcome);
    }

    [Fact]
    public void The_gas_cools_under_control_and_the_source_is_shut_off_for_the_hold()
    {
        Rehearsal run = new Rehearsal(Tested).ToTheEnd();
        var steps = run.Steps.Where(s => s.State.Phase == RunPhase.LeakTesting && s.State.ReachedMicros > 0).ToList();
        long settled = steps.Count(s => s.Intent.Kind == IntentKind.Pressurise) * Rehearsal.StepMicros;
        long held = steps.Count(s => s.Intent.Kind == IntentKind.Isolate) * Rehearsal.StepMicros;
        Assert.Equal(2_000_000, settled);
        Assert.Equal(6_000_000, held);
    }

    [Fact]
    public void Only_the_second_half_of_the_hold_counts()
    {
        // What the gas still gives to the wall in the first half is no leak.
        var run = new Rehearsal(Tested)
        {
            Disturbance = r => r.State.Phase == RunPhase.LeakTesting && r.State.ShutOff && r.Now - r.State.ReachedMicros < 4_500_000 ? 900 : 0,
        };
        Assert.True(Result(run.ToTheEnd()).Tight);
        Assert.Equal(0, Result(run).RatePascalsPerSecond, 3);
    }

    [Fact]
    public void A_hold_without_readings_proves_nothing()
    {
        var run = new Rehearsal(Tested) { LeakPascalsPerSecond = 400 };
        run.Until(r => r.State.ShutOff, 60);
        run.Change = s => s with { Bench = s.Bench with { Reference = s.Bench.Reference with { Quality = ReadingQuality.NoReply } } };
        run.Until(r => r.State.Phase != RunPhase.LeakTesting, 30);
        run.Change = null;
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Ending.Outcome);
        Assert.DoesNotContain(run.Events, e => e is RunEvent.LeakTested);
        Assert.Empty(run.Points);
    }

    private static LeakTestRecord Result(Rehearsal run) => Assert.Single(run.Events.OfType<RunEvent.LeakTested>()).Result;
}
