using Barostep.Guard;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Tests.Guard;

public sealed class GuardBodyTests : IDisposable
{
    private readonly GuardRig _rig = new();

    public void Dispose() => _rig.Dispose();

    [Fact]
    public void A_run_fills_against_a_shut_dump_valve_and_leaves_it_open()
    {
        _rig.Pressurise(4);
        Assert.Equal(0, _rig.Bench.Truth.DumpOpening);

        _rig.Wanted = (IntentKind.Vent, Pressure.Vacuum);
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        _rig.RunFor(1);

        Assert.Equal(1, _rig.Bench.Truth.DumpOpening);
    }

    [Fact]
    [Trait("SR", "22, 37")]
    public void Keep_alives_stop_in_the_very_cycle_of_a_trip()
    {
        _rig.Pressurise(4);
        long before = _rig.Half.KeepAlives;
        _rig.RunFor(1);
        Assert.True(_rig.Half.KeepAlives > before);

        before = _rig.Half.KeepAlives;
        _rig.Desk.Vent(atOnce: true);
        _rig.Cycle();
        Assert.Equal(GuardPhase.Tripped, _rig.Last.Phase);
        Assert.Equal(before, _rig.Half.KeepAlives);
        _rig.RunFor(2);

        Assert.Equal(before, _rig.Half.KeepAlives);
        Assert.Equal(1, _rig.Bench.Truth.DumpOpening);
    }

    [Fact]
    [Trait("SR", "36, 37")]
    public void A_guard_that_hangs_lets_the_line_vent_and_the_relay_open()
    {
        _rig.Pressurise(8);

        _rig.Hang(10);

        Assert.Equal(1, _rig.Bench.Truth.DumpOpening);
        Assert.InRange(_rig.Bench.Truth.PressurePa, 99_000, 103_000);
    }

    [Fact]
    public void A_guard_that_was_stopped_for_two_seconds_trips_and_does_not_arm_the_relay_again()
    {
        _rig.Pressurise(8);

        _rig.Pause(2);
        Assert.Equal(1, _rig.Bench.Truth.DumpOpening);
        _rig.Cycle();
        Assert.Equal(GuardPhase.Tripped, _rig.Last.Phase);
        _rig.RunFor(10);

        Assert.Equal(1, _rig.Bench.Truth.DumpOpening);
        Assert.Equal(GuardPhase.Tripped, _rig.Last.Phase);
    }

    [Fact]
    public void A_relay_that_opens_during_a_run_stays_open_and_ends_it()
    {
        _rig.Pressurise(4);

        _rig.Bench.Inject("fault dump restart");
        _rig.RunUntil(seen => seen.Phase is GuardPhase.Stopping or GuardPhase.Tripped, seconds: 10);
        _rig.RunFor(5);

        Assert.Equal(1, _rig.Bench.Truth.DumpOpening);
    }

    [Fact]
    public void An_intent_that_was_left_before_a_pause_is_void()
    {
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        Assert.True(_rig.BeginRun().Accepted);
        Pressure target = _rig.Bare.Atmosphere + PressureDifference.FromPascals(4e5);
        _rig.Desk.Leave(new Intent(_rig.Epoch, 1, IntentKind.Pressurise, target, 50_000_000, _rig.Bench.NowMicros));

        _rig.Pause(2);
        _rig.RunFor(10);

        Assert.Equal(0, _rig.Half.KeepAlives);
        Assert.InRange(_rig.Bench.Truth.PressurePa, 99_000, 103_000);
    }

    [Fact]
    public void A_sequencer_that_falls_silent_has_its_run_vented()
    {
        _rig.Pressurise(4);

        _rig.Wanted = null;
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Stopping, seconds: 1);
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
    }

    [Fact]
    public void A_sequencer_that_leaves_has_its_run_vented_at_once()
    {
        Assert.True(_rig.Desk.TryBecomeSequencer());
        _rig.Pressurise(4);

        _rig.Wanted = null;
        _rig.Desk.LeaveAsSequencer();
        _rig.Cycle();

        Assert.Equal(GuardPhase.Stopping, _rig.Last.Phase);
        Assert.True(_rig.Last.Causes.Contains(Cause.IntentLapsed));
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        _rig.Cycle();
        Assert.Same(_rig.Bare, _rig.Half.Limits);
    }

    [Fact]
    public void Without_a_run_nobody_gets_pressure()
    {
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);

        _rig.Wanted = (IntentKind.Pressurise, _rig.Bare.Atmosphere + PressureDifference.FromPascals(4e5));
        _rig.RunFor(5);

        Assert.Equal(GuardPhase.Safe, _rig.Last.Phase);
    }

    [Fact]
    public void The_device_limits_the_bench_while_its_run_lasts()
    {
        Assert.True(_rig.WithDevice.EffectiveCeiling <= _rig.Bare.EffectiveCeiling);
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);

        _rig.BeginRun();
        Assert.Equal(_rig.WithDevice.EffectiveCeiling, _rig.Half.Limits.EffectiveCeiling);
        Assert.Same(_rig.WithDevice, _rig.Half.Limits);
        Assert.True(_rig.EndRun().Accepted);
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        _rig.Cycle();

        Assert.Same(_rig.Bare, _rig.Half.Limits);
    }

    [Fact]
    public void A_second_run_is_refused_while_one_goes_on()
    {
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        Assert.True(_rig.BeginRun().Accepted);

        ReplyRecord second = _rig.BeginRun();

        Assert.False(second.Accepted);
        Assert.Contains("is going on", second.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void The_limits_stay_tight_after_a_run_until_the_trip_is_acknowledged()
    {
        _rig.Pressurise(4);
        _rig.Desk.Vent(atOnce: true);
        _rig.Cycle();
        _rig.Wanted = null;
        _rig.EndRun();
        _rig.RunUntil(seen => seen.Depressurised);
        Assert.Same(_rig.WithDevice, _rig.Half.Limits);

        ReplyRecord wrong = _rig.Ask(Acknowledge(_rig.Last.TripNumber + 1));
        Assert.False(wrong.Accepted);
        ReplyRecord right = _rig.Ask(Acknowledge(_rig.Last.TripNumber));
        Assert.True(right.Accepted, right.Message);
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        _rig.Cycle();

        Assert.Same(_rig.Bare, _rig.Half.Limits);
        Assert.Contains(_rig.Entries(), entry => entry.Kind == JournalKind.Acknowledge);
    }

    [Fact]
    public void A_ceiling_is_lowered_at_once_and_a_higher_one_is_refused_under_pressure()
    {
        _rig.Pressurise(4);
        Pressure lower = _rig.Bare.Atmosphere + PressureDifference.FromPascals(6e5);

        Assert.True(_rig.Ask(new PersonRecord(1, PersonRequestKind.LowerCeiling, 0, lower, "Ines Quandt", "new hose")).Accepted);
        Assert.Equal(lower, _rig.Last.EffectiveCeiling);
        ReplyRecord raise = _rig.Ask(new PersonRecord(2, PersonRequestKind.RaiseCeiling, 0, _rig.WithDevice.EffectiveCeiling, "Ines Quandt", "old hose"));

        Assert.False(raise.Accepted);
        Assert.Equal(lower, _rig.Last.EffectiveCeiling);
    }

    [Fact]
    public void The_journal_of_a_run_replays_to_the_same_decisions()
    {
        _rig.Pressurise(4);
        _rig.Ask(new PersonRecord(1, PersonRequestKind.LowerCeiling, 0, _rig.Bare.Atmosphere + PressureDifference.FromPascals(6e5), "Ines Quandt", "new hose"));
        _rig.Wanted = (IntentKind.Vent, Pressure.Vacuum);
        _rig.RunUntil(seen => seen.Phase == GuardPhase.Safe);
        _rig.EndRun();
        _rig.RunFor(2);

        List<JournalEntry> entries = _rig.Entries();
        ReplayResult replayed = JournalReplay.Run(entries);

        Assert.True(replayed.IsComplete, $"{replayed}");
        int limits = entries.FindIndex(entry => entry.Kind == JournalKind.Limits && entry.Sequence > 1);
        int begun = entries.FindIndex(entry => entry.Kind == JournalKind.RunStart);
        int raised = entries.FindIndex(entry => entry.Kind == JournalKind.Raise);
        Assert.True(limits < begun && begun < raised);
    }

    [Fact]
    [Trait("SR", "33")]
    public void A_cycle_allocates_nothing_while_nothing_happens()
    {
        _rig.Pressurise(4);
        _rig.RunFor(10);
        long ticks = _rig.Last.Tick;
        long before = _rig.StepAllocatedBytes;

        _rig.RunUntil(seen => seen.Tick >= ticks + 10_000, seconds: 1000);

        // What remains is the note of lateness, once a minute; the lines work on threads of their own in a real guard.
        int minutes = _rig.Entries().Count(entry => entry.Kind == JournalKind.Note);
        Assert.InRange(minutes, 8, 9);
        Assert.InRange(_rig.StepAllocatedBytes - before, 0, minutes * 8000);
    }

    private static PersonRecord Acknowledge(uint trip) =>
        new(1, PersonRequestKind.Acknowledge, trip, Pressure.Vacuum, "Ines Quandt", "hose was loose; tightened");
}
