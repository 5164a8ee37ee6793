using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>What a healthy bench does must never look like a fault (I11).</summary>
public sealed class HealthyRunTests
{
    [Theory]
    [InlineData(true, true, 0.7)]
    [InlineData(false, true, 0.7)]
    [InlineData(true, false, 0.7)]
    [InlineData(true, true, 3.0)]
    [Trait("SR", "19")]
    public void A_sweep_up_and_down_and_up_again_raises_no_cause_at_all(bool sourceSensor, bool relay, double landingSeconds)
    {
        var rig = new Rig { SourceSensorFitted = sourceSensor, RelayFitted = relay, LandingSeconds = landingSeconds };
        rig.Until(d => d.Phase == GuardPhase.Safe, 20);
        double[] points = [0.1, 0.25, 0.5, 0.75, 1, 0.75, 0.501, 0.5, 0.1, 0.9];
        foreach (double point in points)
        {
            rig.Ask(Rig.Gauge(1_500_000 * point));
            rig.Until(_ => Math.Abs(rig.Pascals - rig.Target.Pascals) < 500, 120);
            rig.Run(10);
        }

        rig.Wants = IntentKind.Vent;
        rig.Until(d => d.Phase == GuardPhase.Safe, 200);
        rig.Run(30);

        Assert.Empty(rig.EverSeen);
        Assert.True(rig.Decision.Safe);
        Assert.Equal(SafetyAction.Rest, rig.Decision.Action);
    }

    [Fact]
    [Trait("SR", "19")]
    public void A_ramp_of_many_small_set_points_raises_no_cause()
    {
        Rig rig = Rig.Safe();
        for (int i = 1; i <= 600; i++)
        {
            rig.Ask(Rig.Gauge(1_000.0 * i));
            rig.Step();
        }

        rig.Run(20);
        Assert.Empty(rig.EverSeen);
        Assert.InRange(rig.Pascals, 699_000, 701_000);
    }

    [Fact]
    [Trait("SR", "20")]
    public void The_fastest_rate_that_the_parts_stand_raises_no_cause_even_up_to_the_highest_set_point_and_into_vacuum()
    {
        Rig rig = Rig.Safe();
        rig.Rate = rig.Limits.MaxRateMilliPascalsPerSecond;
        foreach (double gauge in new double[] { 1_568_000, 0, -40_000, 800_000, 10_000, 1_568_000 })
        {
            rig.Ask(Rig.Gauge(gauge));
            rig.Until(_ => Math.Abs(rig.Pascals - rig.Target.Pascals) < 500, 120);
            rig.Run(6);
        }

        rig.Wants = IntentKind.Vent;
        rig.Until(d => d.Phase == GuardPhase.Safe, 100);
        Assert.Empty(rig.EverSeen);
    }

    [Fact]
    [Trait("SR", "19")]
    public void A_change_of_mind_half_way_raises_no_cause()
    {
        Rig rig = Rig.Safe();
        for (int i = 0; i < 12; i++)
        {
            rig.Ask(Rig.Gauge(i % 2 == 0 ? 1_400_000 : 100_000));
            rig.Run(7);
            rig.Wants = i % 3 == 0 ? IntentKind.Isolate : IntentKind.Vent;
            rig.Run(3);
        }

        Assert.Empty(rig.EverSeen);
    }

    [Fact]
    [Trait("SR", "11")]
    public void A_leak_test_isolates_and_a_small_leak_or_warming_gas_raises_no_cause()
    {
        Rig rig = Rig.Pressurised();
        rig.Wants = IntentKind.Isolate;
        rig.LeakPascalsPerSecond = 50;
        rig.Run(30);
        Assert.Equal(SafetyAction.Isolate, rig.Decision.Action);
        rig.LeakPascalsPerSecond = -100;
        rig.Run(30);
        Assert.Empty(rig.EverSeen);
        rig.LeakPascalsPerSecond = 0;
        rig.Ask(Rig.Gauge(500_000));
        rig.Run(10);
        Assert.Empty(rig.EverSeen);
        Assert.Equal(SafetyAction.Control, rig.Decision.Action);
    }

    [Fact]
    [Trait("SR", "15")]
    public void One_garbled_answer_now_and_then_changes_nothing()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = seen => seen.Tick % 40 == 0
            ? seen with { Reference = seen.Reference with { Quality = ReadingQuality.Garbled } }
            : seen;
        rig.Ask(Rig.Gauge(1_200_000));
        for (int i = 0; i < 20 * 60; i++)
        {
            Decision decision = rig.Step();
            Assert.Equal(SafetyAction.Control, decision.Action);
            Assert.True(decision.LeaseUntilMicros > rig.Now);
        }

        Assert.Empty(rig.EverSeen);
    }

    [Fact]
    [Trait("SR", "18")]
    public void A_gauge_that_shows_the_same_zero_for_minutes_while_vented_is_not_frozen()
    {
        Rig rig = Rig.Safe();
        rig.Fault = seen => Math.Abs(seen.Reference.Value.Pascals - 100_000) < 200
            ? seen with { Reference = seen.Reference with { Value = Rig.Atmosphere, RawHash = 7 } }
            : seen;
        rig.Run(180);
        rig.Ask(Rig.Gauge(300_000));
        rig.Run(40);
        Assert.Empty(rig.EverSeen);
    }
}
