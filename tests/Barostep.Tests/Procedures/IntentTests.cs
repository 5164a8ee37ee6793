using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

public class IntentTests
{
    private static readonly Procedure Everything = Exercises.UpAndDown with
    {
        ReadZero = true,
        Preloads = 1,
        Cycles = 2,
        LeakTest = new LeakTest(0.8, 1_000_000, 2_000_000, 0.001),
    };

    [Fact]
    public void Every_step_renews_the_intent_with_a_higher_sequence_even_after_the_end()
    {
        Rehearsal run = Rehearsal.Whole(Everything).Run(5);
        Assert.Equal(Enumerable.Range(1, run.Steps.Count).Select(i => (uint)i), run.Steps.Select(s => s.Intent.Sequence));
        Assert.All(run.Steps, s => Assert.Equal(s.Seen.NowMicros, s.Intent.IssuedMicros));
        Assert.All(run.Steps, s => Assert.Equal(7u, s.Intent.Epoch));
    }

    [Fact]
    public void After_the_end_a_vent_is_asked_for_and_nothing_happens_any_more()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.TwoPoints);
        int events = run.Events.Count;
        run.Run(5);
        Assert.Equal(events, run.Events.Count);
        Assert.Equal(IntentKind.Vent, run.Intent.Kind);
    }

    [Fact]
    public void Pressure_is_not_asked_for_before_the_bench_was_depressurised_once()
    {
        var run = new Rehearsal(Everything with { ReadZero = false, PointsOfSpan = [0.5, 1] })
        {
            Change = s => s with { Bench = s.Bench with { Depressurised = s.NowMicros > 20_000_000 && s.Bench.Depressurised } },
        };
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Completed, run.Ending.Outcome);
        Assert.All(run.Steps.Where(s => s.Seen.NowMicros <= 20_000_000), s =>
            Assert.True(s.Intent.Kind is IntentKind.Vent or IntentKind.None));
    }

    [Fact]
    public void Between_two_points_under_pressure_the_last_target_stands()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.UpAndDown);
        int from = run.Steps.FindIndex(s => s.State.StepIndex == run.Plan.StepOf(1) && s.State.Phase == RunPhase.Pressurising);
        int to = run.Steps.FindIndex(s => s.State.StepIndex == run.Plan.StepOf(5));
        Assert.True(from > 0 && to > from);
        Assert.All(run.Steps[from..to], s => Assert.Equal(IntentKind.Pressurise, s.Intent.Kind));
        Assert.All(run.Steps[from..to].Where(s => s.State.Phase == RunPhase.Stepping), s =>
            Assert.Contains(run.Plan.Steps.Take(run.Plan.StepOf(5)), step => step.Target == s.Intent.Target));
    }

    [Fact]
    public void The_targets_asked_for_are_those_of_the_plan_at_its_rate()
    {
        Rehearsal run = Rehearsal.Whole(Everything);
        var asked = run.Steps.Where(s => s.Intent.Kind == IntentKind.Pressurise).ToList();
        Assert.All(asked, s => Assert.Contains(run.Plan.Steps, step => step.Target == s.Intent.Target));
        Assert.All(asked, s => Assert.Equal(160_000_000, s.Intent.RateMilliPascalsPerSecond));
    }

    [Fact]
    public void A_run_that_gave_up_tells_the_guard_that_it_did()
    {
        var run = new Rehearsal(Exercises.TwoPoints with { Settle = Exercises.Settle with { OnTimeout = TimeoutPolicy.Abort } })
        {
            Miss = r => r.InSeries ? -0.01 * Exercises.SpanPascals : 0,
        };
        run.Until(r => r.State.Outcome is not null, 120);
        Assert.Equal("a point did not settle in time", run.State.OutcomeReason);
        Assert.Equal(IntentKind.Abort, run.Intent.Kind);
    }

    [Fact]
    public void Equal_states_and_inputs_give_equal_steps()
    {
        var run = new Rehearsal(Everything);
        while (!run.State.Ended)
        {
            SequencerState before = run.State;
            run.Step();
            SequencerStep first = run.Try(before, run.Seen);
            SequencerStep second = run.Try(before, run.Seen);
            Assert.Equal(first.Intent, run.Intent);
            Assert.Equal(first.Intent, second.Intent);
            Assert.Equal(first.Events.Select(e => e.GetType()), second.Events.Select(e => e.GetType()));
            Assert.Equal(Plain(first.State), Plain(run.State));
            Assert.Equal(Plain(first.State), Plain(second.State));
            Assert.Equal(first.State.Samples, second.State.Samples);
            Assert.Equal(first.State.Window.SlopePerSecond(), second.State.Window.SlopePerSecond());
        }
    }

    [Fact]
    public void A_state_that_was_kept_can_be_gone_on_from()
    {
        Rehearsal run = new Rehearsal(Everything).Until(r => r.Points.Count == 3, 600);
        SequencerState kept = run.State;
        SequencerStep then = run.Try(kept, run.Seen with { NowMicros = run.Now + 1 });
        run.ToTheEnd();
        SequencerStep later = run.Try(kept, run.Steps[0].Seen with { NowMicros = run.Now + 1, Bench = run.Seen.Bench });
        Assert.Equal(then.State.StepIndex, later.State.StepIndex);
        Assert.Equal(then.Intent.Target, later.Intent.Target);
    }

    [Fact]
    public void The_time_left_shrinks_within_each_step_is_never_negative_and_none_at_the_end()
    {
        var run = new Rehearsal(Everything);
        (int Step, long Left) last = (-1, 0);
        long first = run.TimeLeftMicros;
        while (!run.State.Ended)
        {
            run.Step();
            Assert.True(run.TimeLeftMicros >= 0);
            if (run.State.StepIndex == last.Step)
                Assert.True(run.TimeLeftMicros <= last.Left, $"{run.State.Phase}: {last.Left} then {run.TimeLeftMicros}");
            last = (run.State.StepIndex, run.TimeLeftMicros);
        }

        Assert.Equal(0, run.TimeLeftMicros);
        Assert.InRange(first, (run.Now - 1_000_000) / 2, (run.Now - 1_000_000) * 2);
    }

    [Fact]
    public void The_time_left_does_not_jump_where_a_step_ends()
    {
        var run = new Rehearsal(Everything);
        (int Step, long Left) last = (0, long.MaxValue);
        while (!run.State.Ended)
        {
            run.Step();
            // A tenth: what the finished steps teach about the pace of the rest.
            if (run.State.StepIndex > last.Step && run.State.StepIndex > 1)
                Assert.True(run.TimeLeftMicros <= last.Left * 1.1, $"after step {last.Step}: {last.Left} then {run.TimeLeftMicros}");
            last = (run.State.StepIndex, run.TimeLeftMicros);
        }
    }

    /// <summary>The state without what is compared by its contents elsewhere.</summary>
    private static SequencerState Plain(SequencerState state) => state with { Window = StabilityWindow.Empty, Samples = [] };
}
