using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>The test of the dump valve before a run, as the kernel sees it.</summary>
public sealed class DumpTestTests
{
    [Fact]
    [Trait("SR", "34")]
    public void A_run_gets_no_more_than_the_tests_pressure_before_the_valve_was_seen_to_open()
    {
        Rig rig = Rig.Safe(Rig.Bench() with { SelfTestRise = PressureDifference.FromPascals(60_000) });
        rig.Ask(Rig.Gauge(60_001));
        Assert.True(rig.Run(5).Causes.Contains(Cause.SelfTestDue));
        Assert.Equal((GuardPhase.Safe, SafetyAction.Rest), (rig.Decision.Phase, rig.Decision.Action));
        rig.Ask(Rig.Gauge(-60_001));
        Assert.True(rig.Run(1).Causes.Contains(Cause.SelfTestDue));

        rig.Ask(Rig.Gauge(60_000));
        rig.Until(_ => rig.Pascals > 158_000, 30);
        rig.Wants = IntentKind.TestDump;
        Decision test = rig.Until(d => d.Phase == GuardPhase.Testing, 1);
        Assert.Equal((SafetyAction.Isolate, false, 0L), (test.Action, test.KeepAlive, test.LeaseUntilMicros));
        Decision passed = rig.Until(d => d.Phase != GuardPhase.Testing, 10);
        Assert.Equal((GuardPhase.Venting, Verdict.None, false), (passed.Phase, passed.Verdict, passed.KeepAlive));
        rig.Wants = IntentKind.Vent;
        rig.Until(d => d.Phase == GuardPhase.Safe, 30);

        rig.Ask(Rig.Gauge(500_000));
        Assert.Equal(GuardPhase.Permitted, rig.Run(1).Phase);
    }

    [Fact]
    [Trait("SR", "34")]
    public void A_valve_that_does_not_take_the_pressure_away_ends_the_run_whatever_its_contact_says()
    {
        Rig rig = Rig.AtTestPressure();
        rig.DumpOpens = false;
        rig.Wants = IntentKind.TestDump;
        Decision failed = rig.Until(d => d.Phase == GuardPhase.Stopping, 10);
        Assert.Equal(Cause.SelfTestFailed, failed.FirstCause);

        rig.Wants = IntentKind.Vent;
        rig.Until(d => d.Phase == GuardPhase.Safe, 60);
        rig.Ask(Rig.Gauge(500_000));
        Assert.True(rig.Run(5).Causes.Contains(Cause.SelfTestDue));
    }

    [Fact]
    [Trait("SR", "34")]
    public void A_test_without_pressure_to_lose_proves_nothing()
    {
        Rig rig = Rig.Safe(Rig.Bench() with { SelfTestRise = PressureDifference.FromPascals(60_000) });
        rig.Ask(Rig.Gauge(1_500));
        rig.Until(d => d.Phase == GuardPhase.Permitted, 5);
        rig.Run(3);
        rig.Wants = IntentKind.TestDump;
        Assert.Equal(Cause.SelfTestFailed, rig.Until(d => d.Phase == GuardPhase.Stopping, 10).FirstCause);
    }

    [Fact]
    [Trait("SR", "34")]
    public void A_test_is_good_for_the_run_that_follows_within_ten_minutes_however_long_that_takes()
    {
        Rig rig = Tested();
        rig.Ask(Rig.Gauge(500_000));
        rig.Until(_ => rig.Pascals > 598_000, 60);
        rig.Run(700);
        rig.Ask(Rig.Gauge(600_000));
        Assert.Equal(Verdict.None, rig.Run(1).Verdict);

        rig.Wants = IntentKind.Vent;
        rig.Until(d => d.Phase == GuardPhase.Safe, 60);
        rig.Epoch++;
        rig.Ask(Rig.Gauge(500_000));
        Assert.True(rig.Run(1).Causes.Contains(Cause.SelfTestDue));
    }

    [Fact]
    [Trait("SR", "34")]
    public void A_second_run_within_ten_minutes_needs_no_second_test_and_one_after_a_trip_does()
    {
        Rig rig = Tested();
        rig.Epoch++;
        rig.Ask(Rig.Gauge(500_000));
        Assert.Equal(GuardPhase.Permitted, rig.Run(1).Phase);

        rig.Person = PersonRequest.Dump;
        rig.Step();
        rig.Wants = IntentKind.None;
        rig.Until(d => d.Safe, 60);
        rig.Person = PersonRequest.Acknowledge(rig.Decision.TripNumber);
        rig.Run(1);
        rig.Epoch++;
        rig.Ask(Rig.Gauge(500_000));
        Assert.True(rig.Run(1).Causes.Contains(Cause.SelfTestDue));
    }

    [Fact]
    [Trait("SR", "36")]
    public void A_sequencer_that_falls_silent_during_the_test_has_the_bench_vented()
    {
        Rig rig = Rig.AtTestPressure();
        rig.DumpOpens = false;
        rig.Wants = IntentKind.TestDump;
        rig.Until(d => d.Phase == GuardPhase.Testing, 1);
        Intent last = rig.Seen.Intent;
        rig.Fault = s => s with { Intent = last };
        Assert.Equal(Cause.IntentLapsed, rig.Until(d => d.Phase == GuardPhase.Stopping, 1).FirstCause);
    }

    private static Rig Tested()
    {
        Rig rig = Rig.AtTestPressure();
        rig.Wants = IntentKind.TestDump;
        rig.Until(d => d.Phase == GuardPhase.Venting, 10);
        rig.Wants = IntentKind.Vent;
        rig.Until(d => d.Phase == GuardPhase.Safe, 30);
        return rig;
    }
}
