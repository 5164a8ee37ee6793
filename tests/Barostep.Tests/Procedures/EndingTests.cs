using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

public class EndingTests
{
    [Fact]
    public void A_stop_vents_and_ends_as_stopped_wherever_it_comes()
    {
        foreach (RunPhase phase in new[] { RunPhase.Idle, RunPhase.Venting, RunPhase.Zeroing, RunPhase.Preloading, RunPhase.LeakTesting, RunPhase.Pressurising, RunPhase.Settling, RunPhase.Reading, RunPhase.Stepping })
        {
            Rehearsal run = At(phase);
            run.Change = s => s with { StopAsked = true };
            run.Step();
            Assert.Equal(RunPhase.Venting, run.State.Phase);
            Assert.Equal(IntentKind.Vent, run.Intent.Kind);
            run.Change = null;
            run.ToTheEnd();
            Assert.Equal(RunOutcome.Stopped, run.Ending.Outcome);
            Assert.Equal("stopped by the operator", run.Ending.Reason);
            Assert.True(run.Ending.VentConfirmed);
            Assert.Equal(RunPhase.Aborted, run.State.Phase);
        }
    }

    [Fact]
    public void A_run_that_was_stopped_does_not_end_before_the_bench_is_vented()
    {
        Rehearsal run = At(RunPhase.Reading);
        run.Change = s => s with { StopAsked = true, Bench = s.Bench with { Depressurised = false } };
        run.Run(60);
        Assert.False(run.State.Ended);
        run.Change = null;
        run.Run(5);
        Assert.True(run.Ending.VentConfirmed);
    }

    [Fact]
    public void A_trip_ends_as_tripped_only_when_the_bench_is_depressurised()
    {
        Rehearsal run = At(RunPhase.Settling);
        run.Change = s => Tripped(s, Cause.OverCeiling) with { };
        run.Step();
        Assert.Equal(RunPhase.Tripped, run.State.Phase);
        Assert.Equal(IntentKind.Vent, run.Intent.Kind);
        Assert.False(run.State.Ended);
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Tripped, run.Ending.Outcome);
        Assert.True(run.Ending.VentConfirmed);
        Assert.True(run.Seen.Bench.Depressurised);
        Assert.Equal(CausePolicy.Of(Cause.OverCeiling).What, run.Ending.Reason);
    }

    [Fact]
    public void A_trip_that_leaves_the_bench_unseen_ends_after_the_blind_time_out_and_says_so()
    {
        Rehearsal run = At(RunPhase.Settling);
        long since = run.Now;
        run.Change = s => Blind(Tripped(s, Cause.ReferenceLineLost));
        run.ToTheEnd();
        Assert.False(run.Ending.VentConfirmed);
        Assert.InRange(run.Now - since, 30_000_000, 31_000_000);
        Assert.Contains("reference on port ref", run.Ending.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_line_that_blinks_during_a_long_vent_does_not_end_the_wait()
    {
        Rehearsal run = At(RunPhase.Settling);
        long since = run.Now;
        run.Change = s =>
        {
            long elapsed = s.NowMicros - since;
            SequencerInput tripped = Tripped(s, Cause.OverCeiling);
            tripped = tripped with { Bench = tripped.Bench with { Depressurised = elapsed > 60_000_000 } };
            return elapsed is > 40_000_000 and < 41_000_000 ? Blind(tripped) : tripped;
        };
        run.ToTheEnd();
        Assert.True(run.Ending.VentConfirmed);
    }

    [Theory]
    [InlineData(Cause.NoResponse, RunOutcome.Aborted)]
    [InlineData(Cause.SourceLeftControl, RunOutcome.Aborted)]
    [InlineData(Cause.JournalFault, RunOutcome.Aborted)]
    [InlineData(Cause.CommandNotAcknowledged, RunOutcome.InstrumentFailure)]
    [InlineData(Cause.OperatorStop, RunOutcome.Stopped)]
    public void An_abort_of_the_kernel_ends_the_run_by_its_cause(Cause cause, RunOutcome outcome)
    {
        Rehearsal run = At(RunPhase.Settling);
        run.Change = s => s with { Bench = s.Bench with { Verdict = Verdict.Abort, FirstCause = cause } };
        run.Step();
        Assert.Equal(RunPhase.Venting, run.State.Phase);
        run.Change = null;
        run.ToTheEnd();
        Assert.Equal(outcome, run.Ending.Outcome);
        Assert.Equal(CausePolicy.Of(cause).What, run.Ending.Reason);
        Assert.True(run.Ending.VentConfirmed);
    }

    [Theory]
    [InlineData(Cause.OverCeiling, RunOutcome.Tripped)]
    [InlineData(Cause.FrozenWhileMoving, RunOutcome.Tripped)]
    [InlineData(Cause.SourceLineLost, RunOutcome.InstrumentFailure)]
    [InlineData(Cause.VentNotAcknowledged, RunOutcome.InstrumentFailure)]
    [InlineData(Cause.OperatorDump, RunOutcome.Stopped)]
    public void A_trip_ends_the_run_by_its_cause(Cause cause, RunOutcome outcome)
    {
        Rehearsal run = At(RunPhase.Settling);
        run.Change = s => Tripped(s, cause);
        run.ToTheEnd();
        Assert.Equal(outcome, run.Ending.Outcome);
        Assert.Equal(RunPhase.Tripped, run.State.Phase);
    }

    [Fact]
    public void A_hold_or_a_warning_of_the_kernel_does_not_end_the_run()
    {
        Rehearsal run = At(RunPhase.Settling);
        run.Change = s => s with { Bench = s.Bench with { Verdict = Verdict.Hold } };
        Assert.Equal(RunOutcome.Completed, run.ToTheEnd().Ending.Outcome);
    }

    [Fact]
    public void A_device_fault_ends_the_run_as_an_instrument_failure_with_its_words()
    {
        Rehearsal run = At(RunPhase.Settling);
        run.Change = s => s with { IndicationFault = "multimeter on port dmm: no understandable answer" };
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Ending.Outcome);
        Assert.Equal("multimeter on port dmm: no understandable answer", run.Ending.Reason);
        Assert.True(run.Ending.VentConfirmed);
    }

    [Fact]
    public void A_run_does_not_start_before_every_instrument_has_given_a_reading_and_then_gives_up()
    {
        var run = new Rehearsal(Exercises.TwoPoints) { Change = s => s with { Indication = default } };
        run.Run(9.9);
        Assert.Equal(RunPhase.Idle, run.State.Phase);
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Ending.Outcome);
        Assert.DoesNotContain(run.Steps, s => s.Intent.Kind == IntentKind.Pressurise);
    }

    [Fact]
    public void A_bench_that_does_not_vent_is_given_up_after_five_minutes_unconfirmed()
    {
        var run = new Rehearsal(Exercises.TwoPoints) { Change = s => s with { Bench = s.Bench with { Depressurised = false } } };
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Aborted, run.Ending.Outcome);
        Assert.Contains("did not vent within five minutes", run.Ending.Reason, StringComparison.Ordinal);
        Assert.False(run.Ending.VentConfirmed);
    }

    [Fact]
    public void A_first_vent_that_cannot_be_seen_is_an_instrument_failure_and_names_the_line()
    {
        Rehearsal run = At(RunPhase.Venting);
        run.Change = Blind;
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Ending.Outcome);
        Assert.Contains("reference on port ref", run.Ending.Reason, StringComparison.Ordinal);
        Assert.False(run.Ending.VentConfirmed);
    }

    [Fact]
    public void A_trip_during_the_last_vent_is_not_hidden_by_the_outcome_before_it()
    {
        Rehearsal run = new Rehearsal(Exercises.TwoPoints).Until(r => r.State.Outcome == RunOutcome.Completed, 600);
        run.Change = s => Tripped(s, Cause.VentFailed);
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Tripped, run.Ending.Outcome);
    }

    private static SequencerInput Tripped(SequencerInput seen, Cause cause) => seen with
    {
        Bench = seen.Bench with { Phase = GuardPhase.Tripped, Verdict = Verdict.Trip, FirstCause = cause },
    };

    private static SequencerInput Blind(SequencerInput seen) => seen with
    {
        Bench = seen.Bench with { Depressurised = false, LineFault = "reference on port ref: no understandable answer" },
    };

    private static Rehearsal At(RunPhase phase)
    {
        Procedure procedure = Exercises.UpAndDown with
        {
            ReadZero = true,
            Preloads = 1,
            LeakTest = new LeakTest(0.8, 1_000_000, 2_000_000, 0.001),
        };
        return new Rehearsal(procedure).UntilPhase(phase);
    }
}
