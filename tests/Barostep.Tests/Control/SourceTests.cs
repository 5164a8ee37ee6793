using Barostep.Safety;

namespace Barostep.Tests.Control;

public class SourceTests
{
    [Fact]
    public void Nothing_is_sent_twice_without_need()
    {
        GuardDesk resting = GuardDesk.Safe();
        int commands = resting.Source.Requests.Count(IsCommand);
        resting.Run(60);
        Assert.Equal(commands, resting.Source.Requests.Count(IsCommand));

        GuardDesk holding = GuardDesk.Holding(2);
        commands = holding.Source.Requests.Count(IsCommand);
        holding.Run(60);
        Assert.Equal(commands, holding.Source.Requests.Count(IsCommand));
        Assert.Equal(Verdict.None, holding.Snapshot.Verdict);
    }

    [Fact]
    [Trait("SR", "32")]
    public void The_first_thing_that_a_source_is_told_is_to_vent()
    {
        GuardDesk desk = GuardDesk.Safe();
        Assert.StartsWith("SOUR:MODE VENT", desk.Source.Requests.First(IsCommand), StringComparison.Ordinal);
    }

    [Fact]
    public void Unit_and_upper_limit_are_told_once_the_source_vents_and_only_once()
    {
        GuardDesk desk = GuardDesk.Safe();
        long vented = desk.Source.Vents.First().AtMicros;
        Assert.All(desk.Source.Sent.Where(s => IsSetUp(s.Request)), s => Assert.True(s.AtMicros > vented));
        Assert.Equal(2, desk.Source.Requests.Count(IsSetUp));
        Assert.Equal(17, desk.Source.LimitBar, 6);
    }

    [Fact]
    public void A_source_that_does_not_vent_is_not_set_up_and_nothing_is_raised()
    {
        var desk = new GuardDesk();
        desk.Gas.Bar = 3;
        desk.Source.VentStuck = true;
        desk.Ask(5);
        desk.Run(20);
        Assert.DoesNotContain(desk.Source.Requests, IsSetUp);
        Assert.Empty(desk.Source.Controls);
    }

    [Fact]
    public void After_a_restart_was_seen_the_source_is_set_up_again_and_only_at_rest()
    {
        GuardDesk desk = GuardDesk.Holding(2);
        int before = desk.Source.Requests.Count(IsSetUp);
        long restarted = desk.Now;
        desk.Source.Restart();
        desk.Until(d => d.Snapshot.FirstCause == Cause.InstrumentRestarted, 3);
        desk.Until(d => d.Source.Requests.Count(IsSetUp) == before + 2, 10);
        Assert.Equal(17, desk.Source.LimitBar, 6);
        long vented = desk.Source.Vents.First(v => v.AtMicros > restarted).AtMicros;
        Assert.All(desk.Source.Sent.Where(s => IsSetUp(s.Request) && s.AtMicros > restarted), s => Assert.True(s.AtMicros > vented));
    }

    [Fact]
    [Trait("SR", "05, 06")]
    public void A_source_that_was_away_is_set_up_again_before_pressure_is_made()
    {
        GuardDesk desk = GuardDesk.Safe();
        desk.Source.IsOpen = false;
        desk.Run(1);
        desk.Source.LimitBar = 20;
        desk.Source.IsOpen = true;
        desk.Until(d => d.Snapshot.Phase == GuardPhase.Safe && d.Snapshot.LineFault is null, 30).Run(1);
        Assert.Equal(4, desk.Source.Requests.Count(IsSetUp));
        Assert.Equal(17, desk.Source.LimitBar, 6);
    }

    [Fact]
    public void An_answer_to_a_question_from_before_the_set_up_is_not_taken_for_the_new_limit()
    {
        // The source vents from the start; its old limit is asked for before it is set up, and told after it.
        var desk = new GuardDesk();
        desk.Gas.Mode = "VENT";
        desk.Source.DelayMicros = request => request.StartsWith("SOUR:PRES:LIM", StringComparison.Ordinal) ? 120_000 : 2_000;
        desk.Until(d => d.Snapshot.Phase == GuardPhase.Safe, 15).Run(2);
        Assert.DoesNotContain(desk.Journal.Observations(), o => o.Source.UpperLimitKnown && o.Source.UpperLimit != GuardDesk.Gauge(17));
        Assert.Contains(desk.Journal.Observations(), o => o.Source.UpperLimitKnown);
    }

    [Fact]
    public void A_set_up_that_was_not_understood_is_tried_again()
    {
        var desk = new GuardDesk();
        int failures = 1;
        desk.Source.Distort = (request, reply) =>
        {
            if (!request.StartsWith("SOUR:PRES:LIM ", StringComparison.Ordinal) || failures-- <= 0)
                return reply;
            desk.Source.LimitBar = 20;
            return "#";
        };
        desk.Until(d => d.Snapshot.Phase == GuardPhase.Safe, 15).Run(2);
        Assert.Equal(17, desk.Source.LimitBar, 6);
        desk.Ask(2);
        desk.Until(d => d.Gas.Bar > 1.9, 10);
    }

    [Fact]
    public void A_mode_asked_for_before_a_command_says_nothing_of_it()
    {
        GuardDesk desk = GuardDesk.Safe();
        desk.Source.DelayMicros = request => request == "SOUR:MODE?" ? 120_000 : 2_000;
        desk.Until(d => d.Source.Requests.Last() == "SOUR:MODE?", 2);
        desk.Ask(2);
        desk.Run(4);
        Observation[] since = [.. desk.Journal.Entries().Where(e => e.Kind == JournalKind.Tick)
            .SkipWhile(e => e.ReadDecision().Action != SafetyAction.Control).Skip(1).Select(e => e.ReadObservation())];
        Assert.Equal(SafetyAction.Control, since[0].Source.Pending);
        Assert.DoesNotContain(since, o => o.Source.Mode == SourceMode.Venting);
        Assert.Contains(since, o => o.Source.Mode == SourceMode.Controlling);
    }

    [Fact]
    public void A_vent_is_repeated_until_the_source_says_that_it_vents()
    {
        GuardDesk desk = GuardDesk.Holding(2);
        desk.Source.VentStuck = true;
        desk.Person = PersonRequest.Dump;
        int before = desk.Source.Vents.Count();
        desk.Run(5);
        int repeated = desk.Source.Vents.Count() - before;
        Assert.InRange(repeated, 5, 15);

        desk.Source.VentStuck = false;
        desk.Until(d => d.Gas.Mode == "VENT", 1).Run(1);
        int then = desk.Source.Vents.Count();
        desk.Run(10);
        Assert.Equal(then, desk.Source.Vents.Count());
    }

    [Fact]
    public void A_gentle_vent_comes_down_at_the_allowed_rate_before_it_vents()
    {
        GuardDesk desk = GuardDesk.Holding(4);
        int vents = desk.Source.Vents.Count();
        desk.Wants = IntentKind.Vent;
        double fastest = 0, last = desk.Gas.Bar, atVent = double.NaN;
        while (desk.Source.Vents.Count() == vents)
        {
            atVent = desk.Gas.Bar;
            desk.Run(0.1);
            fastest = Math.Max(fastest, (last - desk.Gas.Bar) / 0.1);
            last = desk.Gas.Bar;
            Assert.True(desk.Now < 120_000_000);
        }

        // Half a second of the allowed 0.5 bar/s may go at once; 0.1 s of it for the step of this loop.
        Assert.InRange(atVent, 0.1, 0.35);
        Assert.Contains(desk.Source.Requests, r => r.StartsWith("SOUR:PRES:TARG 0.000000", StringComparison.Ordinal));
        Assert.InRange(desk.Gas.RateBarPerSecond, 0.499, 0.501);
        desk.Until(d => d.Snapshot.Phase == GuardPhase.Safe, 15);
        Assert.Equal(Cause.None, desk.Snapshot.FirstCause);
    }

    [Fact]
    public void A_stop_comes_down_gently_too()
    {
        GuardDesk desk = GuardDesk.Holding(4);
        int vents = desk.Source.Vents.Count();
        desk.Person = PersonRequest.Stop;
        desk.Wants = IntentKind.Vent;
        desk.Run(3);
        Assert.Equal(vents, desk.Source.Vents.Count());
        Assert.InRange(desk.Gas.Bar, 2, 3.5);
        desk.Until(d => d.Snapshot.Depressurised, 20);
    }

    [Fact]
    public void A_dump_never_takes_its_time()
    {
        GuardDesk desk = GuardDesk.Holding(4);
        int vents = desk.Source.Vents.Count();
        int sets = desk.Source.Requests.Count(r => r.StartsWith("SOUR:PRES:TARG ", StringComparison.Ordinal));
        desk.Person = PersonRequest.Dump;
        desk.Cycle().Run(0.05);
        Assert.Equal(vents + 1, desk.Source.Vents.Count());
        Assert.Equal(sets, desk.Source.Requests.Count(r => r.StartsWith("SOUR:PRES:TARG ", StringComparison.Ordinal)));
    }

    [Fact]
    public void A_dump_overtakes_a_gentle_vent()
    {
        GuardDesk desk = GuardDesk.Holding(6);
        desk.Wants = IntentKind.Vent;
        desk.Run(2);
        Assert.Equal("CONT", desk.Gas.Mode);
        desk.Person = PersonRequest.Dump;
        desk.Cycle().Run(0.05);
        Assert.Equal("VENT", desk.Gas.Mode);
    }

    [Fact]
    public void Isolating_closes_the_source_once_and_going_on_controls_again()
    {
        GuardDesk desk = GuardDesk.Holding(2);
        desk.Wants = IntentKind.Isolate;
        desk.Run(3);
        Assert.Equal("HOLD", desk.Gas.Mode);
        Assert.Single(desk.Source.Requests, r => r.StartsWith("SOUR:MODE HOLD", StringComparison.Ordinal));
        desk.Ask(2);
        desk.Run(1);
        Assert.Equal("CONT", desk.Gas.Mode);
    }

    [Fact]
    [Trait("SR", "12, 36")]
    public void Without_cycles_the_source_vents_by_itself()
    {
        GuardDesk desk = GuardDesk.Holding(2);
        desk.StopCycling();
        desk.Run(1);
        Assert.Equal("VENT", desk.Gas.Mode);
    }

    [Fact]
    [Trait("SR", "06")]
    public void A_source_in_another_unit_is_noticed()
    {
        GuardDesk desk = GuardDesk.Holding(2);
        desk.Source.Unit = "MBAR";
        desk.Until(d => d.Snapshot.FirstCause == Cause.UnitChanged, 6);
        Assert.Equal(GuardPhase.Tripped, desk.Snapshot.Phase);
    }

    private static bool IsCommand(string request) => IsSetUp(request)
        || request.StartsWith("SOUR:MODE ", StringComparison.Ordinal)
        || request.StartsWith("SOUR:PRES:TARG ", StringComparison.Ordinal)
        || request.StartsWith("SOUR:PRES:RATE ", StringComparison.Ordinal);

    private static bool IsSetUp(string request) =>
        request.StartsWith("UNIT:PRES ", StringComparison.Ordinal) || request.StartsWith("SOUR:PRES:LIM ", StringComparison.Ordinal);

    [Fact]
    [Trait("SR", "06")]
    public void A_unit_that_was_changed_is_seen_by_asking_for_it_even_while_pressures_tell_the_right_one()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        desk.Source.Distort = (request, reply) => request.StartsWith("UNIT:PRES?", StringComparison.Ordinal) ? "MBAR;GAUG" : reply;
        desk.Until(d => d.Snapshot.Phase == GuardPhase.Tripped, 10);
        Assert.Equal(Cause.UnitChanged, desk.Snapshot.FirstCause);
    }
}
