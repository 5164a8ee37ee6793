using Barostep.Control;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Control;

public class ClosedLoopTests
{
    [Fact]
    public void A_run_on_the_simulated_bench_completes_and_its_record_holds_everything()
    {
        using SimulatedRun run = new SimulatedRun().ToTheEnd();
        RunRecord record = run.Record;
        Assert.True(record.Outcome == RunOutcome.Completed, $"{record.Outcome}: {record.OutcomeReason}");
        Assert.True(record.VentConfirmed);
        Assert.Equal([true, false], record.Zeros.Select(z => z.BeforeSeries));
        Assert.Equal([0, 800_000, 1_600_000, 1_600_000, 800_000, 0], record.Points.Select(p => p.NominalPascals));
        Assert.All(record.Points, p => Assert.Equal(PointMarks.None, p.Marks));
        Assert.True(record.LeakTest!.Tight);
        // A transmitter of 4 to 20 mA over 16 bar: within 1 % of its line, whatever its errors are.
        Assert.All(record.Points.SelectMany(p => p.Samples), s =>
            Assert.InRange(s.Indication.Value, 0.004 + (s.Reference.Value * 1e-8) - 0.00016, 0.004 + (s.Reference.Value * 1e-8) + 0.00016));
        Assert.InRange(record.HighestPascals, 1_700_000, record.CeilingPascals);
        Assert.True(run.HighestTruePascals < record.CeilingPascals);
        AssertVented(run);
        Assert.DoesNotContain(run.Journal, e => e.Kind == JournalKind.Trip);
        Assert.All(run.Progress, p => Assert.True(p.TimeLeftMicros >= 0 && p.Step <= p.Steps && p.PointsRead <= p.Points));
        Assert.Equal(6, run.Progress[^1].PointsRead);
    }

    [Fact]
    public void Every_pressure_that_the_bench_was_asked_for_was_written_down_before()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Progress.LastOrDefault().PointsRead == 2, 600);
        double[] raised = [.. run.Journal.Where(e => e.Kind == JournalKind.Raise).Select(e => ((RaisePayload)e.ReadPayload()).Target.Pascals)];
        // The test of the dump valve at 4 % of the span up to the ceiling of 17 bar, the probe, the preload, the leak test, the middle of the span.
        double atmosphere = run.Bench.Limits.Atmosphere.Pascals;
        Assert.Equal([atmosphere + 68_000, atmosphere + 128_000, atmosphere + 1_600_000, atmosphere + 1_280_000, atmosphere + 800_000], raised.Take(5));
    }

    [Fact]
    public void The_same_seed_gives_the_same_journal()
    {
        string once = HeadOf(5);
        Assert.Equal(once, HeadOf(5));
        Assert.NotEqual(once, HeadOf(6));

        static string HeadOf(ulong seed)
        {
            using SimulatedRun run = new SimulatedRun(seed: seed).Until(r => r.Phase == RunPhase.Zeroing, 600);
            return run.Journal[^1].Hash;
        }
    }

    [Fact]
    [Trait("SR", "35, 45")]
    public void A_stop_in_the_middle_vents_at_the_allowed_rate_and_ends_as_stopped()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Simulated.Truth.PressurePa > 1_000_000, 600);
        run.Person = PersonRequest.Stop;
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Stopped, run.Record.Outcome);
        Assert.True(run.Record.VentConfirmed);
        AssertVented(run);
        Assert.DoesNotContain(run.Journal, e => e.Kind == JournalKind.Trip);
    }

    [Fact]
    public void A_dump_in_the_middle_ends_as_stopped_and_vented()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Simulated.Truth.PressurePa > 1_000_000, 600);
        run.Person = PersonRequest.Dump;
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Stopped, run.Record.Outcome);
        Assert.True(run.Record.VentConfirmed);
    }

    [Fact]
    public void A_device_that_falls_silent_ends_the_run_as_an_instrument_failure_and_the_bench_is_vented()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Simulated.Truth.PressurePa > 500_000, 600);
        run.Simulated.Inject("fault multimeter silence on");
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Record.Outcome);
        Assert.Contains("multimeter", run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.True(run.Record.VentConfirmed);
    }

    [Fact]
    public void A_controller_that_is_unplugged_ends_the_run_unconfirmed()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Simulated.Truth.PressurePa > 500_000, 600);
        run.Simulated.Inject("fault controller disconnect");
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Record.Outcome);
        Assert.Contains("pressure source on port controller", run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.False(run.Record.VentConfirmed);
    }

    [Fact]
    [Trait("SR", "16, 30")]
    public void A_reference_that_is_unplugged_has_the_source_vent_and_says_that_nobody_saw_it()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Simulated.Truth.PressurePa > 500_000, 600);
        run.Simulated.Inject("fault reference disconnect");
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Record.Outcome);
        Assert.False(run.Record.VentConfirmed);
        AssertVented(run);
    }

    [Fact]
    [Trait("SR", "11")]
    public void A_leaking_bench_is_found_before_any_point_is_read()
    {
        using var run = new SimulatedRun();
        run.Simulated.Inject("fault plant leak 1e-11");
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Aborted, run.Record.Outcome);
        Assert.False(run.Record.LeakTest!.Tight);
        Assert.True(run.Record.LeakTest.RatePascalsPerSecond < 0);
        Assert.Empty(run.Record.Points);
        Assert.True(run.Record.VentConfirmed);
    }

    [Fact]
    public void A_second_run_begins_only_after_the_first_has_ended()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Phase == RunPhase.Zeroing, 60);
        RunPlan plan = run.Bench.Session!.Plan;
        Assert.Throws<InvalidOperationException>(() => run.Bench.Begin(plan, SimulatedRun.Title, new JournalStamp(run.Simulated.NowMicros, 0)));
        run.Person = PersonRequest.Stop;
        run.ToTheEnd();
        RunSession next = run.Bench.Begin(plan, SimulatedRun.Title, new JournalStamp(run.Simulated.NowMicros, 0));
        Assert.False(next.Ended);
    }

    [Fact]
    public void A_second_run_does_not_take_what_the_device_told_before_it_began()
    {
        using SimulatedRun run = new SimulatedRun().Until(r => r.Phase == RunPhase.Zeroing, 60);
        run.Person = PersonRequest.Stop;
        // The device goes on telling after the end, and nobody takes it.
        run.ToTheEnd().RunLines(5);
        Assert.True(run.Bench.Multimeter!.HasReports);
        RunSession next = run.Bench.Begin(run.Bench.Session!.Plan, SimulatedRun.Title, new JournalStamp(run.Simulated.NowMicros, 0));
        long began = run.Simulated.NowMicros;
        next.Cycle(run.Bench.Snapshot, stopAsked: false, confirmed: false);
        Assert.Equal(0, next.Indication.Count);
        Assert.False(run.Bench.Multimeter.HasReports);
        run.Until(_ => next.Indication.Count > 0, 5);
        Assert.True(next.Indication.AskedMicros >= began);
    }

    /// <summary>The gas itself, not what a sensor says of it.</summary>
    private static void AssertVented(SimulatedRun run) =>
        Assert.InRange(run.Simulated.Truth.PressurePa - run.Simulated.Truth.AtmospherePa, -1_000, 1_000);
}
