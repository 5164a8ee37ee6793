using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>What needs more than being there.</summary>
public sealed class RoleTests
{
    private const long HourMicros = 3_600_000_000;

    [Fact]
    [Trait("SR", "26")]
    public void A_fourth_trip_within_an_hour_is_acknowledged_by_the_role_safety_only()
    {
        Rig rig = Rig.Safe();
        for (int i = 0; i < 3; i++)
            Assert.Equal(GuardPhase.Safe, Acknowledged(Tripped(rig), PersonRole.Operator).Phase);

        Assert.True(Acknowledged(Tripped(rig), PersonRole.Operator).Causes.Contains(Cause.RequestRefused));
        Assert.Equal(GuardPhase.Tripped, rig.Decision.Phase);
        Assert.Equal(GuardPhase.Safe, Acknowledged(rig, PersonRole.Safety).Phase);
    }

    [Fact]
    [Trait("SR", "26")]
    public void An_hour_later_an_operator_is_enough_again()
    {
        Rig rig = Rig.Safe();
        for (int i = 0; i < 3; i++)
            Acknowledged(Tripped(rig), PersonRole.Operator);
        Tripped(rig);
        SafetyState later = rig.State with
        {
            Resets = rig.State.Resets with { Third = rig.Now + Rig.TickMicros - HourMicros },
        };

        Assert.Empty(Causes(rig, later));
        Assert.Equal([Cause.RequestRefused], Causes(rig, later with { Resets = later.Resets with { Third = later.Resets.Third + 1 } }));
    }

    [Fact]
    [Trait("SR", "26")]
    public void A_new_start_of_the_guard_or_of_the_computer_does_not_wipe_the_count_out()
    {
        var resets = new ResetTrack(3, 9 * HourMicros, 8 * HourMicros, 7 * HourMicros);
        var rig = new Rig(state: SafetyState.AfterRestart(CauseSet.Of(Cause.OverCeiling), Cause.OverCeiling, 7, null, resets));
        rig.Step();
        // What seems to lie ahead was just now: a clock that began anew must not count for weeks.
        Assert.Equal(new ResetTrack(3, rig.Now, rig.Now, rig.Now), rig.State.Resets);
        rig.Until(d => d.Safe, 20);

        Assert.True(Acknowledged(rig, PersonRole.Operator).Causes.Contains(Cause.RequestRefused));
        Assert.Equal(GuardPhase.Safe, Acknowledged(rig, PersonRole.Safety).Phase);
    }

    [Fact]
    [Trait("SR", "45")]
    public void An_operator_lowers_a_ceiling_and_only_the_role_safety_raises_it_again()
    {
        Rig rig = Rig.Safe();
        rig.Person = PersonRequest.LowerCeiling(Rig.Gauge(700_000));
        Assert.Equal(Rig.Gauge(700_000), rig.Step().EffectiveCeiling);

        rig.Person = PersonRequest.RaiseCeiling(Rig.Gauge(900_000), role: PersonRole.Operator);
        Assert.True(rig.Step().Causes.Contains(Cause.RequestRefused));
        Assert.Equal(Rig.Gauge(700_000), rig.Decision.EffectiveCeiling);
        rig.Person = PersonRequest.RaiseCeiling(Rig.Gauge(900_000), role: PersonRole.Safety);
        Assert.Equal(Rig.Gauge(900_000), rig.Step().EffectiveCeiling);
    }

    [Fact]
    [Trait("SR", "45")]
    public void A_vent_is_taken_from_anybody_and_an_unknown_role_is_a_fault_of_the_program()
    {
        Rig rig = Rig.Pressurised();
        rig.Person = PersonRequest.Stop with { Role = (PersonRole)7 };
        Assert.Equal(GuardPhase.Tripped, rig.Step().Phase);
        Assert.True(rig.Decision.Causes.Contains(Cause.InternalFault));
        Assert.True(rig.Decision.Causes.Contains(Cause.OperatorStop));
    }

    private static Rig Tripped(Rig rig)
    {
        rig.Person = PersonRequest.Dump;
        rig.Step();
        rig.Until(d => d.Safe && !d.Causes.Contains(Cause.OperatorDump), 20);
        return rig;
    }

    private static Decision Acknowledged(Rig rig, PersonRole role)
    {
        rig.Person = PersonRequest.Acknowledge(rig.Decision.TripNumber, role: role);
        return rig.Step();
    }

    /// <summary>What an operator's acknowledgement leads to from a state, one cycle later.</summary>
    private static List<Cause> Causes(Rig rig, SafetyState state)
    {
        Observation seen = rig.Seen with
        {
            Tick = rig.Tick + 1,
            NowMicros = rig.Now + Rig.TickMicros,
            WallMillis = rig.Seen.WallMillis + (Rig.TickMicros / 1000),
            Person = PersonRequest.Acknowledge(rig.Decision.TripNumber),
        };
        var causes = new List<Cause>();
        foreach (Cause cause in SafetyKernel.Decide(state, seen, rig.Limits, out _).Causes)
            causes.Add(cause);
        return causes;
    }
}
