using Barostep.Control;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

[Trait("SR", "12")]
public class DenialTests
{
    [Theory]
    [InlineData(Cause.CommandNotAcknowledged, RunOutcome.InstrumentFailure)]
    [InlineData(Cause.UpperLimitMismatch, RunOutcome.InstrumentFailure)]
    [InlineData(Cause.SensorFrozen, RunOutcome.InstrumentFailure)]
    [InlineData(Cause.ProposalOverCeiling, RunOutcome.Aborted)]
    [InlineData(Cause.DiskLow, RunOutcome.Aborted)]
    public void A_guard_that_permits_nothing_ends_the_run_after_ten_seconds_with_its_causes_in_words(Cause cause, RunOutcome outcome)
    {
        Rehearsal run = Refused(CauseSet.Of(cause).With(Cause.WallClockStepped));
        Assert.Equal(outcome, run.Ending.Outcome);
        Assert.Contains("the guard does not permit pressure", run.Ending.Reason, StringComparison.Ordinal);
        Assert.Contains(CausePolicy.Of(cause).What, run.Ending.Reason, StringComparison.Ordinal);
        // A warning stands in nobody's way.
        Assert.DoesNotContain(CausePolicy.Of(Cause.WallClockStepped).What, run.Ending.Reason, StringComparison.Ordinal);
        long asked = run.Steps.First(s => s.Intent.Kind == IntentKind.Pressurise).Seen.NowMicros;
        long ended = run.Steps.First(s => s.State.Outcome is not null).Seen.NowMicros;
        Assert.InRange(ended - asked, 10_000_000, 10_200_000);
    }

    [Fact]
    public void Without_a_cause_the_source_that_told_no_limit_is_to_blame()
    {
        Rehearsal run = Refused(CauseSet.Empty);
        Assert.Equal(RunOutcome.InstrumentFailure, run.Ending.Outcome);
        Assert.Contains("upper limit", run.Ending.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_guard_that_permits_after_a_while_is_waited_for()
    {
        var run = new Rehearsal(Exercises.TwoPoints) { Miss = r => r.Seen.Bench.Phase == GuardPhase.Safe ? Unmoved(r) : 0 };
        long asked = 0;
        run.Change = s =>
        {
            if (asked == 0 && run.Intent.Kind == IntentKind.Pressurise)
                asked = s.NowMicros;
            return asked > 0 && s.NowMicros - asked < 9_000_000 ? Held(s, CauseSet.Empty) : s;
        };
        Assert.Equal(RunOutcome.Completed, run.ToTheEnd().Ending.Outcome);
    }

    private static Rehearsal Refused(CauseSet causes)
    {
        var run = new Rehearsal(Exercises.TwoPoints) { Change = s => Held(s, causes), Miss = Unmoved };
        return run.ToTheEnd();
    }

    private static double Unmoved(Rehearsal run) => (run.Plan.Atmosphere - run.Intent.Target).Pascals;

    private static SequencerInput Held(SequencerInput seen, CauseSet causes) => seen with
    {
        Bench = seen.Bench with { Phase = GuardPhase.Safe, Causes = causes },
    };
}
