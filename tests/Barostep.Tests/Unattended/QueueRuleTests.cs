using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Unattended;

namespace Barostep.Tests.Unattended;

/// <summary>When a queued run begins, and when a queue halts.</summary>
public sealed class QueueRuleTests
{
    private const string Gauge = "gauge-10bar";
    private static readonly DateTimeOffset Night = new(2026, 11, 25, 22, 0, 0, TimeSpan.Zero);
    private static readonly BenchReadiness Ready = new(Heard: true, Vented: true, Identified: true, Cause.None, RunGoesOn: false, Gauge);

    [Fact]
    public void The_first_that_is_due_begins_and_one_for_later_holds_up_nobody()
    {
        QueuedRun later = Waits(1, Night.AddHours(2));
        QueuedRun now = Waits(2);

        Assert.Equal(new QueueStep.Begin(now), QueueRule.Next([later, now], Ready, Night));
        Assert.Equal(new QueueStep.Begin(later), QueueRule.Next([later, now], Ready, Night.AddHours(2)));
        Assert.Contains("2026-11-26 00:00 UTC", Assert.IsType<QueueStep.Wait>(QueueRule.Next([later], Ready, Night)).Why, StringComparison.Ordinal);
        Assert.IsType<QueueStep.Rest>(QueueRule.Next([], Ready, Night));
    }

    [Theory]
    [InlineData(false, true, true, Cause.None, false, Gauge, "not heard", false)]
    [InlineData(true, false, true, Cause.None, false, Gauge, "vented", false)]
    [InlineData(true, true, false, Cause.None, false, Gauge, "identified", false)]
    [InlineData(true, true, true, Cause.OverCeiling, false, Gauge, "acknowledged: OverCeiling", true)]
    [InlineData(true, true, true, Cause.None, true, Gauge, "going on", false)]
    [InlineData(true, true, true, Cause.None, false, "transmitter-16bar", "mount gauge-10bar", true)]
    public void Nothing_begins_on_a_bench_that_is_not_known_ready(
        bool heard, bool vented, bool identified, Cause cause, bool runs, string mounted, string why, bool forPerson)
    {
        QueueStep step = QueueRule.Next([Waits(1)], new BenchReadiness(heard, vented, identified, cause, runs, mounted), Night);

        QueueStep.Wait wait = Assert.IsType<QueueStep.Wait>(step);
        Assert.Contains(why, wait.Why, StringComparison.Ordinal);
        Assert.Equal(forPerson, wait.ForPerson);
    }

    [Theory]
    [InlineData(RunOutcome.Completed, Conformity.Passed, false, false)]
    [InlineData(RunOutcome.Completed, Conformity.NotDecided, false, false)]
    [InlineData(RunOutcome.Completed, Conformity.Failed, true, false)]
    [InlineData(RunOutcome.Aborted, Conformity.NotDecided, true, false)]
    [InlineData(RunOutcome.InstrumentFailure, Conformity.NotDecided, true, false)]
    [InlineData(RunOutcome.Refused, Conformity.NotDecided, true, false)]
    [InlineData(RunOutcome.Incomplete, Conformity.NotDecided, true, false)]
    [InlineData(RunOutcome.Tripped, Conformity.NotDecided, true, true)]
    [InlineData(RunOutcome.Stopped, Conformity.NotDecided, true, true)]
    public void A_trip_and_a_person_halt_the_queue_whatever_was_wished(RunOutcome outcome, Conformity verdict, bool whenStop, bool whenGoOn)
    {
        Assert.Equal(whenStop, QueueRule.Halts(OnFailure.Stop, outcome, verdict) is not null);
        Assert.Equal(whenGoOn, QueueRule.Halts(OnFailure.GoOn, outcome, verdict) is not null);
    }

    private static QueuedRun Waits(long id, DateTimeOffset? from = null) =>
        new(id, new QueueWish("gauge", Gauge, "five-point", from, OnFailure.Stop), "Ada Vahl", Night, QueueState.Waiting, null, string.Empty);
}
