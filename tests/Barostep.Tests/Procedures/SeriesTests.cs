using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

public class SeriesTests
{
    [Fact]
    public void A_run_reads_every_point_of_every_cycle_in_order_and_completes()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.UpAndDown with { Cycles = 2 });

        Assert.Equal(RunOutcome.Completed, run.Ending.Outcome);
        Assert.True(run.Ending.VentConfirmed);
        Assert.Equal(RunPhase.Completed, run.State.Phase);
        double[] nominals = [0, 800_000, 1_600_000, 1_600_000, 800_000, 0];
        Assert.Equal([.. nominals, .. nominals], run.Points.Select(p => p.NominalPascals));
        Assert.Equal(Enumerable.Range(1, 12), run.Points.Select(p => p.Index));
        Assert.Equal([.. Enumerable.Repeat(1, 6), .. Enumerable.Repeat(2, 6)], run.Points.Select(p => p.Cycle));
        Assert.Equal([true, true, true, false, false, false], run.Points.Take(6).Select(p => p.Direction == SeriesDirection.Ascending));
        Assert.All(run.Points, p => Assert.Equal(PointMarks.None, p.Marks));
        Assert.All(run.Points, p => Assert.True(
            p.RequestedMicros <= p.ReachedMicros && p.ReachedMicros < p.SettledMicros && p.SettledMicros <= p.Samples[0].Indication.AnsweredMicros));
    }

    [Fact]
    public void A_point_at_the_atmosphere_is_vented_to_and_read_vented()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.UpAndDown);
        var atAtmosphere = run.Steps.Where(s => s.State.Phase is RunPhase.Settling or RunPhase.Reading
            && run.Plan.Steps[s.State.StepIndex].ByVent).ToList();
        Assert.NotEmpty(atAtmosphere);
        Assert.All(atAtmosphere, s => Assert.Equal(IntentKind.Vent, s.Intent.Kind));
        Assert.All(atAtmosphere, s => Assert.True(s.Seen.Bench.Depressurised));
    }

    [Fact]
    public void A_vented_point_does_not_begin_before_the_bench_is_seen_depressurised()
    {
        Rehearsal run = new Rehearsal(Exercises.UpAndDown) { Change = s => s }.Until(r => r.State.StepIndex == r.Plan.StepOf(5), 600);
        run.Change = s => s with { Bench = s.Bench with { Depressurised = false } };
        run.Run(20);
        Assert.Equal(RunPhase.Venting, run.State.Phase);
        Assert.Equal(run.Plan.StepOf(5), run.State.StepIndex);
    }

    [Fact]
    public void A_preload_holds_at_the_top_and_again_at_the_bottom()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.TwoPoints with { Preloads = 2, PreloadHoldMicros = 3_000_000 });
        // The probe is step 0.
        for (int step = 0; step < 4; step++)
        {
            var held = run.Steps.Where(s => s.State.Phase == RunPhase.Preloading && s.State.StepIndex == step + 1 && s.State.ReachedMicros > 0).ToList();
            Assert.Equal(3_000_000, held[^1].Seen.NowMicros - held[0].Seen.NowMicros + Rehearsal.StepMicros);
            double share = step % 2 == 0 ? 1 : 0;
            Assert.All(held, s => Assert.Equal(share, run.Plan.Share(s.Seen.Bench.Reference.Value), 3));
        }
    }

    [Fact]
    public void A_preload_that_does_not_arrive_ends_the_run()
    {
        var run = new Rehearsal(Exercises.TwoPoints with { Preloads = 1 }) { Miss = r => r.Doing(StepKind.Preload) ? -100_000 : 0 };
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Aborted, run.Ending.Outcome);
        Assert.Contains("not reached in time", run.Ending.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void The_zero_is_read_vented_before_and_after_the_series()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.UpAndDown with { ReadZero = true });
        ZeroRecord[] zeros = [.. run.Events.OfType<RunEvent.ZeroRead>().Select(e => e.Zero)];
        Assert.Equal([true, false], zeros.Select(z => z.BeforeSeries));
        Assert.All(zeros, z => Assert.Equal(3, z.Samples.Count));
        Assert.All(run.Steps.Where(s => s.State.Phase == RunPhase.Zeroing), s => Assert.Equal(IntentKind.Vent, s.Intent.Kind));
        int firstZero = run.Events.FindIndex(e => e is RunEvent.ZeroRead);
        int lastZero = run.Events.FindLastIndex(e => e is RunEvent.ZeroRead);
        Assert.True(firstZero < run.Events.FindIndex(e => e is RunEvent.PointRead));
        Assert.True(lastZero > run.Events.FindLastIndex(e => e is RunEvent.PointRead));
    }

    [Fact]
    public void A_zero_rests_for_the_minimum_dwell_before_it_is_read()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.TwoPoints with { ReadZero = true });
        long entered = run.Events.OfType<RunEvent.PhaseEntered>().First(e => e.Phase == RunPhase.Zeroing).Micros;
        ZeroRecord zero = run.Events.OfType<RunEvent.ZeroRead>().First().Zero;
        Assert.True(zero.Samples[0].Indication.AnsweredMicros >= entered + 1_950_000);
    }

    [Fact]
    public void Nothing_moves_before_the_person_has_confirmed()
    {
        var run = new Rehearsal(Exercises.TwoPoints with { Confirmation = "Is the transmitter fitted?" });
        run.Run(120);
        Assert.Equal(RunPhase.WaitingForOperator, run.State.Phase);
        Assert.DoesNotContain(run.Steps, s => s.Intent.Kind is not (IntentKind.Vent or IntentKind.None));

        run.Change = s => s with { Confirmed = true };
        run.Step();
        run.Change = null;
        Assert.Equal(RunOutcome.Completed, run.ToTheEnd().Ending.Outcome);
    }

    [Fact]
    public void A_confirmation_given_before_it_was_asked_for_does_not_count()
    {
        var run = new Rehearsal(Exercises.TwoPoints with { Confirmation = "Is the transmitter fitted?" })
        {
            Change = s => s with { Confirmed = s.NowMicros < 1_200_000 },
        };
        run.Run(60);
        Assert.Equal(RunPhase.WaitingForOperator, run.State.Phase);
    }
}
