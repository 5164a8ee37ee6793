using Barostep.Safety;

namespace Barostep.Tests.Control;

public class UpInWritingTests
{
    [Fact]
    [Trait("SR", "40")]
    public void What_can_raise_pressure_is_journalled_and_flushed_before_it_is_on_the_wire()
    {
        GuardDesk desk = GuardDesk.Safe();
        int from = desk.Order.Count;
        desk.Ask(5);
        desk.Until(d => d.Source.Controls.Any(), 2);
        List<string> order = desk.Order[from..];
        int raise = order.IndexOf("journal raise");
        int flush = order.IndexOf("flush");
        int set = order.FindIndex(o => o.StartsWith("send SOUR:PRES:TARG 5", StringComparison.Ordinal));
        Assert.True(raise >= 0 && raise < flush && flush < set, string.Join('\n', order));
    }

    [Fact]
    public void Every_set_point_on_the_wire_was_journalled_before_it()
    {
        GuardDesk desk = GuardDesk.Safe();
        foreach (double bar in new[] { 2.0, 4.0, 3.0, 4.0 })
        {
            desk.Ask(bar);
            desk.Run(6);
        }

        int raises = 0, sets = 0;
        foreach (string one in desk.Order)
        {
            if (one == "journal raise")
                raises++;
            else if (one.StartsWith("send SOUR:PRES:TARG ", StringComparison.Ordinal))
                Assert.Equal(raises, ++sets);
        }

        Assert.Equal(4, sets);
        Assert.Equal(
            [2.0, 4.0, 3.0, 4.0],
            desk.Journal.Entries().Where(e => e.Kind == JournalKind.Raise)
                .Select(e => ((RaisePayload)e.ReadPayload()).Target.In(PressureUnit.Bar, PressureReference.Gauge, Pressure.StandardAtmosphere)));
    }

    [Fact]
    [Trait("SR", "22, 40")]
    public void A_vent_is_on_the_wire_before_the_journal_sees_it()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        desk.Source.DelayMicros = _ => 0;
        desk.Run(0.5);
        int from = desk.Order.Count;
        desk.Person = PersonRequest.Dump;
        desk.Until(d => d.Source.Vents.Any(v => v.AtMicros > d.Now - 100_000), 1);
        List<string> order = desk.Order[from..];
        int vent = order.FindIndex(o => o.StartsWith("send SOUR:MODE VENT", StringComparison.Ordinal));
        int cycle = order.LastIndexOf("cycle", vent);
        Assert.DoesNotContain(order[cycle..vent], o => o.StartsWith("journal", StringComparison.Ordinal) || o == "flush");
        Assert.Contains(order[vent..], o => o == "journal tick");
    }

    [Fact]
    [Trait("SR", "22")]
    public void A_vent_goes_out_although_the_journal_is_broken()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        int vents = desk.Source.Vents.Count();
        desk.Journal.FailAppend = true;
        desk.Until(d => d.Gas.Bar < 0.001 && d.Source.Vents.Count() > vents, 30);
    }

    [Fact]
    public void While_the_disk_is_slow_nothing_is_raised_and_the_cycles_go_on()
    {
        GuardDesk desk = GuardDesk.Safe();
        desk.Journal.Slow = true;
        long tick = desk.Snapshot.Tick;
        int vents = desk.Source.Vents.Count();
        desk.Ask(5);
        desk.Run(0.8);
        Assert.Empty(desk.Source.Controls);
        Assert.InRange(desk.Snapshot.Tick - tick, 15, 17);
        Assert.Equal(vents, desk.Source.Vents.Count());

        desk.Journal.DiskCatchesUp();
        desk.Until(d => d.Source.Controls.Any(), 0.2);
        Assert.Equal(Verdict.None, desk.Snapshot.Verdict);
    }

    [Fact]
    public void A_disk_that_does_not_come_back_aborts_and_nothing_was_raised()
    {
        GuardDesk desk = GuardDesk.Safe();
        desk.Journal.Slow = true;
        desk.Ask(5);
        desk.Run(3);
        Assert.Empty(desk.Source.Controls);
        Assert.Equal(Cause.JournalFault, desk.Snapshot.FirstCause);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    [Trait("SR", "41")]
    public void A_journal_that_fails_keeps_a_raise_from_being_sent_and_aborts(bool onFlush)
    {
        GuardDesk desk = GuardDesk.Safe();
        desk.Journal.FailFlush = onFlush;
        desk.Journal.FailAppend = !onFlush;
        desk.Ask(5);
        desk.Run(3);
        Assert.Empty(desk.Source.Controls);
        Assert.DoesNotContain(desk.Source.Requests, r => r.StartsWith("SOUR:PRES:TARG ", StringComparison.Ordinal));
        Assert.Equal(Cause.JournalFault, desk.Snapshot.FirstCause);
        Assert.True(desk.Gas.Bar < 0.001);
    }

    [Fact]
    public void A_journal_that_fails_while_pressure_is_held_vents_it()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        desk.Journal.FailFlush = true;
        desk.Ask(4);
        desk.Until(d => d.Gas.Bar < 0.001, 30);
        Assert.DoesNotContain(desk.Source.Requests, r => r.StartsWith("SOUR:PRES:TARG 4", StringComparison.Ordinal));
        Assert.Equal(Cause.JournalFault, desk.Snapshot.FirstCause);
    }

    [Fact]
    public void A_second_raise_to_the_same_pressure_is_written_again()
    {
        GuardDesk desk = GuardDesk.Holding(1);
        desk.Wants = IntentKind.Vent;
        desk.Until(d => d.Snapshot.Phase == GuardPhase.Safe, 30);
        int raises = desk.Order.Count(o => o == "journal raise");
        desk.Ask(1);
        desk.Until(d => d.Gas.Bar > 0.5, 10);
        Assert.Equal(raises + 1, desk.Order.Count(o => o == "journal raise"));
    }

    [Fact]
    [Trait("SR", "44")]
    public void The_journal_of_a_ride_replays_to_the_same_decisions()
    {
        GuardDesk desk = GuardDesk.Holding(2);
        desk.Person = PersonRequest.Stop;
        desk.Wants = IntentKind.Vent;
        desk.Run(10);
        IReadOnlyList<JournalEntry> entries = desk.Journal.Entries();
        SafetyState state = SafetyState.Initial;
        foreach (JournalEntry tick in entries.Where(e => e.Kind == JournalKind.Tick))
        {
            Decision again = SafetyKernel.Decide(state, tick.ReadObservation(), GuardDesk.Limits, out state);
            Assert.Equal(RecordedDecision.Of(again), tick.ReadDecision());
        }

        Assert.True(entries.Count > 200);
    }
}
