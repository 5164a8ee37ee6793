using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>Every limit of the kernel at its last permitted value, and one millipascal, one microsecond or one count beyond.</summary>
public sealed class KernelEdgeTests
{
    private static readonly SafetyLimits Limits = Rig.Bench();

    /// <summary>A little below, so that neither the ceiling nor its margin is near.</summary>
    private static readonly Pressure SetPoint = Rig.Gauge(500_000);

    [Fact]
    [Trait("SR", "45")]
    public void A_ceiling_is_lowered_only_below_the_one_in_force_and_above_the_atmosphere()
    {
        Pressure present = Limits.EffectiveCeiling;
        Assert.True(Refuses(Asking(PersonRequest.LowerCeiling(present))));
        Assert.False(Refuses(Asking(PersonRequest.LowerCeiling(Above(present, -1)))));
        Assert.True(Refuses(Asking(PersonRequest.LowerCeiling(Rig.Atmosphere))));
        Assert.False(Refuses(Asking(PersonRequest.LowerCeiling(Above(Rig.Atmosphere, 1)))));
    }

    [Fact]
    [Trait("SR", "45")]
    public void A_ceiling_is_raised_only_above_the_lowered_one_and_up_to_what_the_parts_stand()
    {
        Pressure lowered = Rig.Gauge(800_000);
        Assert.True(Refuses(Raising(lowered, lowered)));
        Assert.False(Refuses(Raising(lowered, Above(lowered, 1))));
        Assert.True(Refuses(Raising(lowered, Above(Limits.EffectiveCeiling, 1))));

        (Decision decision, SafetyState next) = Raising(lowered, Limits.EffectiveCeiling);
        Assert.False(decision.Causes.Contains(Cause.RequestRefused));
        Assert.False(next.CeilingIsLowered);
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    [Trait("SR", "18")]
    public void A_pressure_beyond_the_stray_band_for_a_second_time_goes_the_wrong_way(long beyond, bool trips)
    {
        (Decision decision, _) = Cycle(
            s => s with { Motion = Moving(s) with { Best = SetPoint, Strays = 1 } },
            o => Reading(o, Above(SetPoint, Limits.StrayBand.MilliPascals + beyond)));

        Assert.Equal(trips, decision.Causes.Contains(Cause.WrongWay));
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(-1, true)]
    [Trait("SR", "19")]
    public void A_response_of_exactly_the_share_that_is_asked_for_is_one(long beyond, bool silent)
    {
        Pressure from = Rig.Gauge(400_000);
        long reachable = Math.Min((SetPoint - from).MilliPascals, 20_000_000 * Limits.ResponseWithinMicros / 1_000_000);
        long least = reachable * Limits.ResponsePercent / 100;
        (Decision decision, _) = Cycle(
            s => s with { RateMilliPascalsPerSecond = 20_000_000, Motion = Moving(s) with { From = from, Towards = SetPoint, Best = from, SinceMicros = s.NowMicros + Rig.TickMicros - Limits.ResponseWithinMicros } },
            o => Reading(o, Above(from, least + beyond)));

        Assert.Equal(silent, decision.Causes.Contains(Cause.NoResponse));
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    [Trait("SR", "19")]
    public void No_response_is_asked_for_within_the_near_band(long beyond, bool asked)
    {
        Pressure from = Above(SetPoint, -(Limits.NearBand.MilliPascals + beyond));
        (Decision decision, _) = Cycle(
            s => s with { Motion = Moving(s) with { From = from, Towards = SetPoint, Best = from, SinceMicros = s.NowMicros + Rig.TickMicros - Limits.ResponseWithinMicros } },
            o => Reading(o, from));

        Assert.Equal(asked, decision.Causes.Contains(Cause.NoResponse));
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(-1, true)]
    [Trait("SR", "19")]
    public void A_response_is_judged_when_its_time_is_over_and_not_before(long early, bool judged)
    {
        Pressure from = Rig.Gauge(300_000);
        (Decision decision, _) = Cycle(
            s => s with { Motion = Moving(s) with { From = from, Towards = SetPoint, Best = from, SinceMicros = s.NowMicros + Rig.TickMicros - Limits.ResponseWithinMicros + 1 + early } },
            o => Reading(o, from));

        Assert.Equal(judged, decision.Causes.Contains(Cause.NoResponse));
    }

    [Theory]
    [InlineData(1, 0, false)]
    [InlineData(1, 1, true)]
    [InlineData(0, 1, false)]
    [Trait("SR", "18")]
    public void Isolated_gas_that_rises_beyond_the_band_trips_at_the_second_reading(int before, long beyond, bool trips)
    {
        long band = Math.Max(Limits.StrayBand.MilliPascals, Limits.SafeBand.MilliPascals);
        long least = (SetPoint - Rig.Atmosphere).MilliPascals;
        (Decision decision, _) = Cycle(
            s => s with { Action = SafetyAction.Isolate, HasSetPoint = false, Motion = Moving(s) with { LeastGap = least, Strays = before } },
            o => Reading(o, Above(SetPoint, band + beyond)) with { Intent = o.Intent with { Kind = IntentKind.Isolate } });

        Assert.Equal(trips, decision.Causes.Contains(Cause.RiseWhileIsolated));
    }

    [Fact]
    [Trait("SR", "18")]
    public void Just_after_isolating_the_gas_may_come_to_its_own_level()
    {
        Pressure now = Above(SetPoint, 2 * Limits.StrayBand.MilliPascals);
        (Decision decision, SafetyState next) = Cycle(
            s => s with { Action = SafetyAction.Isolate, HasSetPoint = false, ActionSinceMicros = s.NowMicros, Motion = Moving(s) with { CommandedMicros = s.NowMicros, LeastGap = 1, Strays = 1 } },
            o => Reading(o, now) with { Intent = o.Intent with { Kind = IntentKind.Isolate } });

        Assert.False(decision.Causes.Contains(Cause.RiseWhileIsolated));
        Assert.Equal((now - Rig.Atmosphere).MilliPascals, next.Motion.LeastGap);
    }

    [Theory]
    [InlineData(2, false)]
    [InlineData(3, true)]
    [Trait("SR", "19")]
    public void One_hold_more_than_a_set_point_may_have_ends_it(int before, bool ends)
    {
        (Decision decision, SafetyState next) = Cycle(s => s with { Holds = before }, Late);

        Assert.Equal(ends, decision.Causes.Contains(Cause.HeldTooOften));
        Assert.Equal(before + 1, next.Holds);
    }

    [Fact]
    [Trait("SR", "19")]
    public void A_hold_whose_cause_stays_goes_on_beyond_its_least_time_and_counts_once()
    {
        (_, SafetyState next) = Cycle(s => s with { Holding = true, Holds = 1, HoldUntilMicros = s.NowMicros }, Late);

        Assert.Equal((true, 1), (next.Holding, next.Holds));
    }

    [Theory]
    [InlineData(0, 2)]
    [InlineData(1, 0)]
    [Trait("SR", "19")]
    public void Holds_are_counted_anew_for_a_target_further_than_the_near_band(long beyond, int holds)
    {
        Pressure target = Above(SetPoint, Limits.NearBand.MilliPascals + beyond);
        (_, SafetyState next) = Cycle(s => s with { Holds = 2 }, o => o with { Intent = o.Intent with { Target = target } });

        Assert.Equal((target, holds), (next.Target, next.Holds));
    }

    [Theory]
    [InlineData(0, true)]
    [InlineData(1, false)]
    [Trait("SR", "19")]
    public void A_hold_regulates_on_at_a_set_point_that_has_been_reached(long beyond, bool stays)
    {
        Pressure now = Above(SetPoint, -(Limits.NearBand.MilliPascals + beyond));
        (_, SafetyState next) = Cycle(static s => s, o => Reading(o, now) with
        {
            Intent = o.Intent with { Target = Limits.EffectiveCeiling },
        });

        Assert.True(next.Holding);
        Assert.Equal(stays ? SetPoint : now, next.SetPoint);
    }

    [Theory]
    [InlineData(-1, 1, true)]
    [InlineData(1, 0, false)]
    [InlineData(0, 0, false)]
    [InlineData(0, -1, true)]
    [Trait("SR", "12")]
    public void An_intent_older_than_one_already_seen_is_void(int epoch, int sequence, bool isVoid)
    {
        (Decision decision, _) = Cycle(
            static s => s,
            (s, o) => o with { Intent = o.Intent with { Epoch = (uint)(s.IntentEpoch + epoch), Sequence = (uint)(s.IntentSequence + sequence) } });

        Assert.Equal(isVoid, decision.Causes.Contains(Cause.ProposalVoid));
    }

    [Theory]
    [InlineData(IntentKind.TestDump, false)]
    [InlineData(IntentKind.TestDump + 1, true)]
    [Trait("SR", "12")]
    public void An_intent_of_a_kind_that_is_not_known_is_void(IntentKind kind, bool isVoid)
    {
        (Decision decision, _) = Cycle(static s => s, o => o with { Intent = o.Intent with { Kind = kind } });

        Assert.Equal(isVoid, decision.Causes.Contains(Cause.ProposalVoid));
    }

    [Fact]
    [Trait("SR", "04")]
    public void The_target_of_an_intent_that_does_not_press_is_not_judged()
    {
        (Decision decision, _) = Cycle(static s => s, o => o with { Intent = o.Intent with { Kind = IntentKind.Isolate, Target = Above(Limits.EffectiveCeiling, 1) } });

        Assert.False(decision.Causes.Contains(Cause.ProposalOverCeiling));
    }

    [Fact]
    [Trait("SR", "12")]
    public void A_relay_that_is_not_fitted_keeps_nothing_open()
    {
        (Decision decision, _) = Cycle(static s => s, o => o with { Relay = new RelayReport { Fitted = false, FeedbackKnown = true, DumpShut = false } });

        Assert.Equal(SafetyAction.Control, decision.Action);
    }

    [Theory]
    [InlineData(uint.MaxValue, 1u)]
    [InlineData(uint.MaxValue - 1, uint.MaxValue)]
    [Trait("SR", "24")]
    public void The_number_of_a_trip_is_never_nought(uint last, uint next)
    {
        (Decision decision, SafetyState after) = Cycle(s => s with { TripNumber = last }, o => Reading(o, Limits.EffectiveCeiling));

        Assert.Equal((GuardPhase.Tripped, next), (decision.Phase, after.TripNumber));
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    [Trait("SR", "31")]
    public void A_vent_behind_one_and_a_half_times_its_model_is_slow_after_two_time_constants_and_failed_after_three(long beyond, bool behind)
    {
        // After k halving times of a fall from 8 bar the model is 8 bar/2^k exactly; the halving time is 693,148 ppm of τ.
        long halving = Limits.VentTimeConstantMicros * 693_148 / 1_000_000;
        const long FromGap = 800_000_000;
        long model = FromGap >> 5;
        Pressure now = Above(Rig.Atmosphere, (model * 3 / 2) + Limits.SafeBand.MilliPascals + beyond);
        (Decision decision, _) = Dumping(FromGap, Limits.VentLagMicros + (5 * halving), now);

        Assert.Equal((behind, behind), (decision.Causes.Contains(Cause.VentSlow), decision.Causes.Contains(Cause.VentFailed)));
    }

    [Theory]
    [InlineData(2, 0, true, false)]
    [InlineData(2, -1, false, false)]
    [InlineData(3, 0, true, true)]
    [InlineData(3, -1, true, false)]
    [Trait("SR", "31")]
    public void A_vent_that_does_nothing_is_slow_and_failed_at_the_times_that_are_stated(int timeConstants, long later, bool slow, bool failed)
    {
        const long FromGap = 800_000_000;
        (Decision decision, _) = Dumping(FromGap, Limits.VentLagMicros + (timeConstants * Limits.VentTimeConstantMicros) + later, Above(Rig.Atmosphere, FromGap));

        Assert.Equal((slow, failed), (decision.Causes.Contains(Cause.VentSlow), decision.Causes.Contains(Cause.VentFailed)));
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    [Trait("SR", "05")]
    public void What_the_source_reads_back_may_differ_by_the_tolerance(long beyond, bool differs)
    {
        Pressure told = Above(SetPoint, Limits.ReadBackTolerance.MilliPascals + beyond);
        (Decision setPoint, _) = Cycle(
            s => s with { SetPointSinceMicros = 0, ActionSinceMicros = 0 },
            o => o with { Source = o.Source with { SetPointKnown = true, SetPoint = told, SetPointAskedAtMicros = o.NowMicros } });
        (Decision upperLimit, _) = Cycle(
            static s => s,
            (_, o) => o with { Source = o.Source with { UpperLimitKnown = true, UpperLimit = told } },
            Limits with { SourceUpperLimit = SetPoint });

        Assert.Equal(differs, setPoint.Causes.Contains(Cause.ReadBackMismatch));
        Assert.Equal(differs, upperLimit.Causes.Contains(Cause.UpperLimitMismatch));
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    [Trait("SR", "23")]
    public void Whoever_is_told_something_has_its_stated_time_to_follow(long late, bool missed)
    {
        (Decision source, _) = Cycle(
            static s => s,
            o => o with { Source = o.Source with { Pending = SafetyAction.Control, PendingSinceMicros = o.NowMicros - Limits.CommandAcknowledgedWithinMicros - late } });
        (Decision relay, _) = Cycle(
            s => s with { KeepAliveSinceMicros = s.NowMicros + Rig.TickMicros - Limits.RelayFollowsWithinMicros - late },
            o => o with { Relay = o.Relay with { DumpShut = false } });

        Assert.Equal(missed, source.Causes.Contains(Cause.CommandNotAcknowledged));
        Assert.Equal(missed, relay.Causes.Contains(Cause.RelayNotShut));
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    [Trait("SR", "12")]
    public void An_intent_lapses_and_a_wall_clock_steps_beyond_what_is_stated(long beyond, bool over)
    {
        (Decision intent, _) = Cycle(
            static s => s,
            o => o with { Intent = o.Intent with { IssuedMicros = o.NowMicros - Limits.IntentLapsesAfterMicros - beyond } });
        (Decision wall, _) = Cycle(static s => s, o => o with { WallMillis = o.WallMillis + Limits.WallStepMillis + beyond });

        Assert.Equal(over, intent.Causes.Contains(Cause.IntentLapsed));
        Assert.Equal(over, wall.Causes.Contains(Cause.WallClockStepped));
    }

    [Theory]
    [InlineData(0, true)]
    [InlineData(-1, false)]
    [Trait("SR", "03")]
    public void A_rate_that_comes_exactly_to_the_ceiling_within_the_horizon_holds(long beyond, bool holds)
    {
        const long Rate = 20_000_000;
        Pressure now = Above(Limits.EffectiveCeiling, beyond - (Rate * Limits.HorizonMicros / 1_000_000));
        (Decision decision, _) = Cycle(s => s with { Reference = Rising(s, now, Rate) }, o => Reading(o, now));

        Assert.Equal(holds, decision.Causes.Contains(Cause.HeadingOverCeiling));
    }

    [Theory]
    [InlineData(1, 0, false)]
    [InlineData(1, 1, true)]
    [InlineData(0, 1, false)]
    [Trait("SR", "20")]
    public void A_second_rate_beyond_one_and_a_fifth_of_the_fastest_trips(int before, long beyond, bool trips)
    {
        long rate = (Limits.MaxRateMilliPascalsPerSecond * 6 / 5) + beyond;
        (Decision decision, _) = Cycle(s => s with { Reference = Rising(s, SetPoint, rate) with { TooFast = before } }, static o => o);

        Assert.Equal(trips, decision.Causes.Contains(Cause.RateTooHigh));
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    [Trait("SR", "08")]
    public void Sensors_may_differ_by_the_tolerance(long beyond, bool differ)
    {
        (Decision decision, _) = Cycle(
            s => s with { DisagreeingPairs = Limits.DisagreeingPairs - 1, Reference = Unhurried(s.Reference) },
            o => o with
            {
                SourceSensor = o.SourceSensor with
                {
                    Value = Above(SetPoint, Limits.AgreementTolerance.MilliPascals + beyond),
                    AskedAtMicros = o.Reference.AskedAtMicros,
                    AnsweredAtMicros = o.Reference.AnsweredAtMicros,
                    Count = o.SourceSensor.Count + 1,
                },
            });

        Assert.Equal(differ, decision.Causes.Contains(Cause.SensorsDisagree));
    }

    [Theory]
    [InlineData(0, true)]
    [InlineData(1, false)]
    [Trait("SR", "32")]
    public void A_bench_is_shown_depressurised_to_the_edge_of_the_safe_band(long beyond, bool safe) =>
        Assert.Equal(safe, Resting(Limits.SafeBand.MilliPascals + beyond).Safe);

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    [Trait("SR", "32")]
    public void A_bench_at_rest_that_reads_half_a_band_beyond_the_safe_one_has_pressure_again(long beyond, bool again) =>
        Assert.Equal(again, Resting((Limits.SafeBand.MilliPascals * 3 / 2) + beyond).Causes.Contains(Cause.RepressurisedWhileSafe));

    private static (Decision Decision, SafetyState Next) Dumping(long fromGap, long sinceMicros, Pressure now) => Cycle(
        s => s with
        {
            Phase = GuardPhase.Tripped,
            Action = SafetyAction.Dump,
            Vent = new VentTrack { Started = true, SinceMicros = s.NowMicros + Rig.TickMicros - sinceMicros, FromGap = fromGap },
        },
        o => Reading(o, now) with { SourceSensor = o.SourceSensor with { Value = now } });

    private static Decision Resting(long gap) => Cycle(
        s => s with
        {
            Phase = GuardPhase.Safe,
            Action = SafetyAction.Rest,
            KeepAlive = false,
            HasSetPoint = false,
            InBand = true,
            InBandSinceMicros = 0,
        },
        o => Reading(o, Above(Rig.Atmosphere, gap)) with
        {
            SourceSensor = o.SourceSensor with { Value = Rig.Atmosphere },
            Intent = o.Intent with { Kind = IntentKind.None },
        }).Decision;

    /// <summary>What is remembered of a reference that rose at this rate for the second before its newest answer.</summary>
    private static SensorTrack Rising(in SafetyState state, Pressure now, long milliPascalsPerSecond) => state.Reference with
    {
        HasOlder = true,
        OlderValue = Above(now, -milliPascalsPerSecond),
        OlderMicros = state.NowMicros - 10_000 - 1_000_000,
        HasNewer = true,
        NewerValue = now,
        NewerMicros = state.NowMicros - 20_000,
    };

    /// <summary>A reference whose rate is not known yet.</summary>
    private static SensorTrack Unhurried(in SensorTrack track) =>
        track with { HasOlder = false, HasNewer = false, RateMilliPascalsPerSecond = 0 };

    private static bool Refuses((Decision Decision, SafetyState Next) cycle) => cycle.Decision.Causes.Contains(Cause.RequestRefused);

    private static (Decision Decision, SafetyState Next) Asking(PersonRequest person) => Cycle(static s => s, o => o with { Person = person });

    private static (Decision Decision, SafetyState Next) Raising(Pressure lowered, Pressure asked) => Cycle(
        s => s with { Phase = GuardPhase.Safe, Action = SafetyAction.Rest, HasSetPoint = false, CeilingIsLowered = true, LoweredCeiling = lowered },
        o => o with { Person = PersonRequest.RaiseCeiling(asked) });

    private static Pressure Above(Pressure pressure, long milliPascals) => Pressure.FromMilliPascals(pressure.MilliPascals + milliPascals);

    /// <summary>A motion that has gone on for long and waits for nothing.</summary>
    private static MotionTrack Moving(in SafetyState state) => state.Motion with
    {
        Started = true,
        CommandedMicros = state.NowMicros - 10_000_000,
        SinceMicros = state.NowMicros,
        Strays = 0,
    };

    private static Observation Reading(Observation seen, Pressure value) =>
        seen with { Reference = seen.Reference with { Value = value } };

    /// <summary>The reference's newest answer is later than a healthy one, and not yet stale.</summary>
    private static Observation Late(Observation seen) =>
        seen with { Reference = seen.Reference with { AskedAtMicros = seen.NowMicros - Limits.ReferenceLateAfterMicros - 1 } };

    private static (Decision Decision, SafetyState Next) Cycle(Func<SafetyState, SafetyState> state, Func<Observation, Observation> seen) =>
        Cycle(state, (_, o) => seen(o));

    /// <summary>One cycle more of a bench that regulates at 5 bar, changed in what is remembered and in what is seen.</summary>
    private static (Decision Decision, SafetyState Next) Cycle(
        Func<SafetyState, SafetyState> state, Func<SafetyState, Observation, Observation> seen, SafetyLimits? limits = null)
    {
        Rig rig = Rig.Pressurised(Limits);
        SafetyState before = rig.State;
        Observation next = rig.Seen with
        {
            Tick = rig.Seen.Tick + 1,
            NowMicros = rig.Seen.NowMicros + Rig.TickMicros,
            WallMillis = rig.Seen.WallMillis + (Rig.TickMicros / 1000),
            Reference = rig.Seen.Reference with
            {
                Value = SetPoint,
                AskedAtMicros = rig.Seen.NowMicros - 10_000,
                AnsweredAtMicros = rig.Seen.NowMicros + 27_000,
                RawHash = rig.Seen.Reference.RawHash + 1,
                Count = rig.Seen.Reference.Count + 1,
            },
            Intent = rig.Seen.Intent with { Sequence = rig.Seen.Intent.Sequence + 1, IssuedMicros = rig.Seen.NowMicros + Rig.TickMicros },
        };
        SafetyState changed = state(before);
        Decision decision = SafetyKernel.Decide(changed, seen(changed, next), limits ?? Limits, out SafetyState after);
        return (decision, after);
    }
}
