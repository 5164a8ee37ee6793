using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Tests.Guard;

/// <summary>What people ask of a guard, in which role, and what they are shown.</summary>
public sealed class GuardPeopleTests : IDisposable
{
    private const string Safety = "Ines Quandt";
    private const string Operator = "Pavel Linde";

    private readonly GuardRig _rig = new();

    public void Dispose() => _rig.Dispose();

    [Fact]
    [Trait("SR", "26")]
    public void A_fourth_trip_within_an_hour_is_refused_to_an_operator_with_the_reason_and_taken_from_the_role_safety()
    {
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        for (int i = 0; i < 3; i++)
            Assert.True(Acknowledge(Tripped(), Operator).Accepted);

        ReplyRecord refused = Acknowledge(Tripped(), Operator);
        Assert.False(refused.Accepted);
        Assert.Contains("needs the role safety", refused.Message, StringComparison.Ordinal);
        Assert.True(Acknowledge(_rig.Last.TripNumber, Safety).Accepted);
        Assert.True(JournalReplay.Run(_rig.Entries()).IsComplete);
        JournalRecovery found = JournalRecovery.Scan(new MemoryStream(_rig.JournalBytes.ToArray()));
        Assert.Equal(_rig.Half.State.Resets, found.RestartState.Resets);
        Assert.Equal(3, found.RestartState.Resets.Known);
    }

    [Fact]
    [Trait("SR", "45")]
    public void An_operator_lowers_a_ceiling_and_the_role_safety_raises_it()
    {
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        Pressure lower = _rig.Bare.Atmosphere + PressureDifference.FromPascals(6e5);
        Assert.True(_rig.Ask(new PersonRecord(1, PersonRequestKind.LowerCeiling, 0, lower, Operator, "new hose")).Accepted);

        var raise = new PersonRecord(2, PersonRequestKind.RaiseCeiling, 0, _rig.Bare.EffectiveCeiling, Operator, "old hose");
        ReplyRecord refused = _rig.Ask(raise);
        Assert.Contains("needs the role safety", refused.Message, StringComparison.Ordinal);
        Assert.Equal(lower, _rig.Last.EffectiveCeiling);
        Assert.True(_rig.Ask(raise with { Who = Safety }).Accepted);
        Assert.Equal(_rig.Bare.EffectiveCeiling, _rig.Last.EffectiveCeiling);
    }

    [Fact]
    [Trait("SR", "27")]
    public void What_is_done_with_an_alarm_is_shown_and_journalled_and_changes_no_decision()
    {
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        _rig.Ask(new PersonRecord(1, PersonRequestKind.Acknowledge, 9, Pressure.Vacuum, Operator, "a wrong number"));
        Assert.Equal(AlarmState.ActiveUnacknowledged, _rig.Last.Alarms.StateOf(Cause.RequestRefused));
        _rig.Cycle();
        Assert.Equal(AlarmState.ClearedUnacknowledged, _rig.Last.Alarms.StateOf(Cause.RequestRefused));

        Assert.True(_rig.Do(new AlarmRecord(2, AlarmAction.Acknowledge, Cause.None, 0, Operator, "seen")).Accepted);
        Assert.Equal(AlarmState.Normal, _rig.Last.Alarms.StateOf(Cause.RequestRefused));
        ReplyRecord refused = _rig.Do(new AlarmRecord(3, AlarmAction.Shelve, Cause.OverCeiling, 5, Safety, "a nuisance"));
        Assert.Contains("never kept back", refused.Message, StringComparison.Ordinal);
        Assert.True(_rig.Do(new AlarmRecord(4, AlarmAction.Shelve, Cause.ReferenceLate, 5, Operator, "a slow line")).Accepted);
        Assert.Equal(AlarmState.Shelved, _rig.Last.Alarms.StateOf(Cause.ReferenceLate));
        string[] notes = [.. _rig.Entries().Where(one => one.Kind == JournalKind.Note).Select(one => ((NotePayload)one.ReadPayload()).Text)];
        Assert.Contains("shelves alarm ReferenceLate for 5 minutes (done): a slow line", notes);
        Assert.Contains(notes, note => note.StartsWith("shelves alarm OverCeiling for 5 minutes (refused", StringComparison.Ordinal));
    }

    [Fact]
    [Trait("SR", "28")]
    public void A_trip_shows_its_first_cause_with_what_followed_attached()
    {
        _rig.Pressurise(4);
        _rig.Bench.Inject("fault reference silence on");
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Tripped, seconds: 5);
        _rig.RunFor(3);

        Assert.Equal(_rig.Last.FirstCause, _rig.Last.Alarms.First);
        Assert.False(_rig.Last.Alarms.Consequences.Contains(_rig.Last.FirstCause));
        Assert.False(_rig.Last.Alarms.Consequences.IsEmpty);
        Assert.False(_rig.Last.Alarms.Flood);
    }

    [Fact]
    [Trait("SR", "21")]
    public void More_than_three_late_cycles_within_an_hour_are_a_warning_and_three_are_not()
    {
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        _rig.LateMicros = 20_001;
        for (int i = 0; i < 3; i++)
            _rig.Cycle();
        Assert.DoesNotContain(_rig.Entries(), IsWarning);
        _rig.Cycle();
        _rig.Cycle();
        _rig.LateMicros = 0;
        _rig.Cycle();

        Assert.Single(_rig.Entries(), IsWarning);
        static bool IsWarning(JournalEntry one) => one.Kind == JournalKind.Note
            && ((NotePayload)one.ReadPayload()).Text.StartsWith("warning: more than three cycles", StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "21")]
    public void A_cycle_that_comes_later_than_a_reading_may_be_old_trips()
    {
        _rig.Pressurise(4);
        double limit = _rig.Half.Limits.LongestGapMicros / 1e6;
        Assert.True(_rig.Half.Limits.LongestGapMicros <= _rig.Half.Limits.ReferenceStaleAfterMicros);

        _rig.Hang(limit + 0.05);
        _rig.Cycle();

        Assert.True(_rig.Last.Causes.Contains(Cause.TimeFault));
        Assert.Equal(GuardPhase.Tripped, _rig.Last.Phase);
    }

    private uint Tripped()
    {
        _rig.Desk.Vent(atOnce: true);
        _rig.Cycle();
        _rig.RunUntil(seen => seen.Depressurised);
        return _rig.Last.TripNumber;
    }

    private ReplyRecord Acknowledge(uint trip, string who)
    {
        ReplyRecord reply = _rig.Ask(new PersonRecord(1, PersonRequestKind.Acknowledge, trip, Pressure.Vacuum, who, "found and mended"));
        _rig.RunFor(1);
        return reply;
    }
}
