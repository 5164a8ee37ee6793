using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>What the guard does from start to rest, told as claims.</summary>
public sealed class KernelStoryTests
{
    [Fact]
    [Trait("SR", "32")]
    public void At_the_start_the_bench_counts_as_pressurised_until_five_seconds_near_atmosphere_are_seen()
    {
        var rig = new Rig { Pascals = 900_000, VentSeconds = 0.5 };
        rig.Ask(Rig.Gauge(100_000));
        Decision decision = rig.Step();
        Assert.Equal((GuardPhase.Boot, SafetyAction.Dump, false), (decision.Phase, decision.Action, decision.KeepAlive));
        rig.Until(_ => Math.Abs(rig.Pascals - 100_000) < 900, 10);
        long near = rig.Now;
        rig.Until(d => d.Safe, 10);
        Assert.InRange(rig.Now - near, rig.Limits.SafeAfterMicros, rig.Limits.SafeAfterMicros + 200_000);
    }

    [Fact]
    [Trait("SR", "30, 32")]
    public void Without_any_reading_nothing_is_ever_safe_or_permitted_and_nothing_is_latched_for_it()
    {
        var rig = new Rig { Fault = s => s with { Reference = SensorReading.NoneYet } };
        rig.Ask(Rig.Gauge(100_000));
        for (int i = 0; i < 1_000; i++)
            Assert.Equal((GuardPhase.Boot, SafetyAction.Dump, false), (rig.Step().Phase, rig.Decision.Action, rig.Decision.Safe));
        Assert.True(rig.Decision.Latched.IsEmpty);
        Assert.True(rig.Decision.Causes.Contains(Cause.ReferenceStale));
    }

    [Fact]
    [Trait("SR", "03")]
    public void A_bench_without_a_reference_permits_nothing()
    {
        var rig = new Rig { Fault = s => s with { Reference = SensorReading.NotFitted } };
        rig.Ask(Rig.Gauge(100_000));
        Decision decision = rig.Run(20);
        Assert.Equal(GuardPhase.Boot, decision.Phase);
        Assert.True(decision.Causes.Contains(Cause.ReferenceStale));
    }

    [Fact]
    [Trait("SR", "12, 15")]
    public void A_silent_reference_stops_the_lease_then_holds_then_trips()
    {
        Rig rig = Rig.Pressurised();
        rig.Ask(Rig.Gauge(1_200_000));
        rig.Run(1);
        long lease = rig.Decision.LeaseUntilMicros;
        rig.Fault = s => s with { Reference = s.Reference with { Quality = ReadingQuality.NoReply } };
        var verdicts = new List<Verdict>();
        while (rig.Step().Verdict < Verdict.Trip)
        {
            verdicts.Add(rig.Decision.Verdict);
            Assert.True(rig.Decision.LeaseUntilMicros <= lease);
            Assert.Equal(rig.Now < lease ? SafetyAction.Control : SafetyAction.Isolate, rig.Decision.Action);
        }

        Assert.Contains(Verdict.Hold, verdicts);
        Assert.Equal(verdicts.Order(), verdicts);
        Assert.Equal(Cause.ReferenceStale, rig.Decision.FirstCause);
        Assert.Equal(SafetyAction.Dump, rig.Decision.Action);
        Assert.Equal(0, rig.Decision.LeaseUntilMicros);
    }

    [Fact]
    [Trait("SR", "12")]
    public void A_lease_that_ran_out_isolates_although_no_cause_is_present_yet()
    {
        Rig rig = Rig.Pressurised(Rig.Bench() with { ReferenceLateAfterMicros = 290_000, LeaseMicros = 100_000 });
        long lease = rig.Decision.LeaseUntilMicros;
        rig.Fault = s => s with { Reference = s.Reference with { Quality = ReadingQuality.NoReply } };
        rig.Step();
        Assert.Equal((SafetyAction.Control, lease), (rig.Decision.Action, rig.Decision.LeaseUntilMicros));
        rig.Step();
        Assert.Equal((SafetyAction.Isolate, 0L), (rig.Decision.Action, rig.Decision.LeaseUntilMicros));
        Assert.Equal(Verdict.None, rig.Decision.Verdict);
    }

    [Fact]
    [Trait("SR", "12, 15")]
    public void A_good_report_that_is_never_renewed_stops_renewing_the_lease_when_it_is_late()
    {
        Rig rig = Rig.Pressurised();
        SensorReading last = rig.Seen.Reference;
        rig.Fault = s => s with { Reference = last };
        rig.Until(d => d.Causes.Contains(Cause.ReferenceLate), 1);
        Assert.True(rig.Decision.LeaseUntilMicros < rig.Now + rig.Limits.LeaseMicros);
        Assert.Equal((Verdict.Hold, SafetyAction.Isolate), (rig.Decision.Verdict, rig.Decision.Action));
    }

    [Theory]
    [InlineData(ReadingQuality.OverRange, Cause.OverCeiling)]
    [InlineData(ReadingQuality.WrongUnit, Cause.UnitChanged)]
    [InlineData(ReadingQuality.LineLost, Cause.ReferenceLineLost)]
    [Trait("SR", "03, 06, 16")]
    public void A_report_that_needs_no_wait_trips_in_its_own_cycle(ReadingQuality quality, Cause cause)
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { Reference = s.Reference with { Quality = quality } };
        Assert.Equal((GuardPhase.Tripped, cause), (rig.Step().Phase, rig.Decision.FirstCause));
    }

    [Fact]
    [Trait("SR", "12")]
    public void A_cycle_without_an_answer_accepts_no_new_set_point()
    {
        Rig rig = Rig.Pressurised();
        rig.Ask(Rig.Gauge(700_000));
        rig.Fault = s => s with { Reference = s.Reference with { Quality = ReadingQuality.NoReply } };
        Assert.Equal(Rig.Gauge(500_000), rig.Step().SetPoint);
    }

    [Fact]
    [Trait("SR", "30")]
    public void After_a_sensor_was_silent_the_five_seconds_count_anew()
    {
        Rig rig = Rig.Safe();
        rig.Fault = s => s with { Reference = s.Reference with { Quality = ReadingQuality.NoReply } };
        rig.Run(1);
        rig.Fault = null;
        Assert.False(rig.Run(4.9).Safe);
        Assert.True(rig.Run(0.3).Safe);
    }

    [Fact]
    [Trait("SR", "23")]
    public void A_source_that_goes_on_regulating_after_a_vent_is_dropped()
    {
        Rig rig = Rig.Pressurised();
        rig.Wants = IntentKind.Vent;
        rig.Fault = s => s with { Source = s.Source with { Mode = SourceMode.Controlling } };
        rig.Until(d => d.Phase == GuardPhase.Tripped, 5);
        Assert.Equal((Verdict.Drop, Cause.VentNotAcknowledged), (rig.Decision.Verdict, rig.Decision.FirstCause));
    }

    [Fact]
    [Trait("SR", "16, 03")]
    public void The_sources_own_sensor_trips_by_itself_too()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { SourceSensor = s.SourceSensor with { Quality = ReadingQuality.LineLost } };
        Assert.Equal((Verdict.Drop, Cause.SourceLineLost), (rig.Step().Verdict, rig.Decision.FirstCause));
        rig = Rig.Pressurised();
        rig.Fault = s => s with { SourceSensor = s.SourceSensor with { Quality = ReadingQuality.OverRange } };
        Assert.Equal(Cause.OverCeiling, rig.Step().FirstCause);
    }

    [Fact]
    [Trait("SR", "15")]
    public void A_reading_asked_for_in_the_future_is_a_fault_of_the_clock()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { Reference = s.Reference with { AskedAtMicros = s.NowMicros + 300_001 } };
        Assert.Equal(Cause.TimeFault, rig.Step().FirstCause);
    }

    [Theory]
    [InlineData(1, 0, 0)]
    [InlineData(0, 1, 0)]
    [InlineData(0, 0, 1)]
    [Trait("SR", "12")]
    public void An_intent_out_of_order_or_from_the_future_is_refused(int older, int future, int unknown)
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with
        {
            Intent = s.Intent with
            {
                Sequence = s.Intent.Sequence - (uint)(older * 2),
                IssuedMicros = s.NowMicros + future,
                Kind = unknown == 1 ? (IntentKind)9 : s.Intent.Kind,
            },
        };
        Assert.True(rig.Step().Causes.Contains(Cause.ProposalVoid));
        Assert.Equal(Verdict.Hold, rig.Decision.Verdict);
    }

    [Fact]
    [Trait("SR", "08")]
    public void Two_pairs_that_differ_are_forgiven_and_the_third_trips()
    {
        Rig rig = Rig.Pressurised();
        int pairs = 0;
        long counted = -1;
        rig.Fault = s =>
        {
            if (s.SourceSensor.Count != counted)
            {
                counted = s.SourceSensor.Count;
                pairs++;
            }

            return s with { SourceSensor = s.SourceSensor with { Value = s.SourceSensor.Value + PressureDifference.FromPascals(9_000), Count = s.SourceSensor.Count + 1_000_000 } };
        };
        rig.Until(d => d.Causes.Contains(Cause.SensorsDisagree), 5);
        Assert.Equal(3, pairs);
    }

    [Fact]
    [Trait("SR", "50")]
    public void Samples_are_void_until_the_next_step_begins()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { WallMillis = s.WallMillis + 10_000 };
        Assert.True(rig.Step().SamplesVoid);
        Assert.True(rig.Run(10).SamplesVoid);
        Assert.Equal(Verdict.None, rig.Decision.Verdict);
        rig.Ask(Rig.Gauge(600_000));
        Assert.False(rig.Step().SamplesVoid);
    }

    [Fact]
    [Trait("SR", "15")]
    public void An_answer_to_an_older_question_is_judged_by_its_own_age()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { Reference = s.Reference with { AskedAtMicros = s.NowMicros - 300_001 } };
        Assert.True(rig.Step().Causes.Contains(Cause.ReferenceStale));
        Assert.Equal(GuardPhase.Tripped, rig.Decision.Phase);
    }

    [Fact]
    [Trait("SR", "15")]
    public void An_age_exactly_at_its_limit_is_still_in_time()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { Reference = s.Reference with { AskedAtMicros = s.NowMicros - 200_000 } };
        Assert.Equal(Verdict.None, rig.Step().Verdict);
        rig.Fault = s => s with { Reference = s.Reference with { AskedAtMicros = s.NowMicros - 200_001 } };
        Assert.Equal(Verdict.Hold, rig.Step().Verdict);
        rig.Fault = s => s with { Reference = s.Reference with { AskedAtMicros = s.NowMicros - 300_000 } };
        Assert.Equal(Verdict.Hold, rig.Step().Verdict);
    }

    [Theory]
    [InlineData(-1, false)]
    [InlineData(0, true)]
    [InlineData(1, true)]
    [Trait("SR", "03")]
    public void The_ceiling_is_inclusive_on_either_sensor(long offset, bool trips)
    {
        Pressure level = Pressure.FromMilliPascals(1_700_000_000 + offset);
        foreach (bool onReference in new[] { true, false })
        {
            Rig rig = Rig.Pressurised();
            rig.Fault = s => onReference
                ? s with { Reference = s.Reference with { Value = level } }
                : s with { SourceSensor = s.SourceSensor with { Value = level } };
            Assert.Equal(trips, rig.Step().Latched.Contains(Cause.OverCeiling));
        }
    }

    [Theory]
    [InlineData(1, false)]
    [InlineData(0, true)]
    [InlineData(-1, true)]
    [Trait("SR", "03")]
    public void The_floor_is_inclusive(long offset, bool trips)
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { Reference = s.Reference with { Value = Pressure.FromMilliPascals(50_000_000 + offset) } };
        Assert.Equal(trips, rig.Step().Latched.Contains(Cause.UnderFloor));
    }

    [Fact]
    [Trait("SR", "04")]
    public void A_set_point_at_the_ceiling_less_its_margin_is_approved_and_one_millipascal_more_is_not()
    {
        Rig rig = Rig.Pressurised();
        Pressure highest = rig.Limits.EffectiveCeiling - rig.Limits.SetPointMargin;
        rig.Ask(highest);
        Assert.Equal(highest, rig.Step().SetPoint);
        rig.Ask(highest + new PressureDifference(1));
        Decision refused = rig.Step();
        Assert.Equal(Verdict.Hold, refused.Verdict);
        Assert.True(refused.Causes.Contains(Cause.ProposalOverCeiling));
        Assert.True(refused.SetPoint < highest);
    }

    [Fact]
    [Trait("SR", "12")]
    public void The_approved_rate_never_exceeds_what_the_parts_stand()
    {
        Rig rig = Rig.Safe();
        rig.Rate = 900_000_000;
        rig.Ask(Rig.Gauge(100_000));
        Decision first = rig.Step();
        Assert.Equal((GuardPhase.Permitted, 50_000_000L), (first.Phase, first.RateMilliPascalsPerSecond));
    }

    [Fact]
    [Trait("SR", "03")]
    public void A_hold_regulates_where_the_pressure_is_for_at_least_two_seconds_and_then_goes_on()
    {
        Rig rig = Rig.Pressurised();
        rig.Ask(Rig.Gauge(1_200_000));
        rig.Run(5);
        rig.Rate = 0;
        Decision held = rig.Step();
        rig.Rate = 20_000_000;
        Assert.Equal((Verdict.Hold, SafetyAction.Control), (held.Verdict, held.Action));
        Assert.InRange(held.SetPoint.Pascals, rig.Pascals - 5_000, rig.Pascals);
        for (int i = 0; i < 39; i++)
        {
            Assert.Equal(held.SetPoint, rig.Step().SetPoint);
            Assert.Equal(Verdict.Hold, rig.Decision.Verdict);
        }

        Assert.Equal((Verdict.None, Rig.Gauge(1_200_000)), (rig.Step().Verdict, rig.Decision.SetPoint));
    }

    [Fact]
    [Trait("SR", "26")]
    public void An_acknowledgement_needs_the_number_the_cause_gone_and_five_seconds_near_atmosphere()
    {
        Rig rig = Rig.Pressurised();
        rig.Person = PersonRequest.Dump;
        uint trip = rig.Step().TripNumber;
        rig.Wants = IntentKind.None;

        Assert.True(Acknowledge(rig, trip).Causes.Contains(Cause.RequestRefused));
        rig.Until(d => d.Safe, 60);
        Assert.True(Acknowledge(rig, trip + 1).Causes.Contains(Cause.RequestRefused));
        rig.Fault = s => s with { Relay = s.Relay with { StopInputOpen = true } };
        Assert.True(Acknowledge(rig, trip).Causes.Contains(Cause.RequestRefused));
        rig.Fault = null;
        Decision accepted = Acknowledge(rig, trip);
        Assert.Equal((GuardPhase.Safe, Verdict.None, Cause.None), (accepted.Phase, accepted.Verdict, accepted.FirstCause));
        Assert.Equal(SafetyAction.Rest, accepted.Action);
    }

    [Fact]
    [Trait("SR", "26")]
    public void An_acknowledgement_while_pressure_is_asked_for_leads_to_rest_and_not_to_motion()
    {
        Rig rig = Rig.Pressurised();
        rig.Person = PersonRequest.Dump;
        rig.Step();
        rig.Until(d => d.Safe, 60);
        rig.Person = PersonRequest.Acknowledge(rig.Decision.TripNumber);
        Decision accepted = rig.Step();
        Assert.Equal((GuardPhase.Safe, SafetyAction.Rest, false), (accepted.Phase, accepted.Action, accepted.KeepAlive));
    }

    [Fact]
    [Trait("SR", "25")]
    public void The_first_cause_of_a_trip_is_kept_and_a_later_trip_has_a_new_number()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { Source = s.Source with { UnitChanged = true } };
        uint first = rig.Step().TripNumber;
        rig.Fault = s => s with { Relay = s.Relay with { StopInputOpen = true } };
        Decision second = rig.Step();
        Assert.Equal((Cause.UnitChanged, first), (second.FirstCause, second.TripNumber));
        Assert.True(second.Latched.Contains(Cause.StopInputOpen));
        Assert.Equal(Verdict.Drop, second.Verdict);

        rig.Fault = null;
        rig.Wants = IntentKind.None;
        rig.Until(d => d.Safe, 60);
        Assert.Equal(GuardPhase.Safe, Acknowledge(rig, first).Phase);
        rig.Person = PersonRequest.Dump;
        Assert.Equal(first + 1, rig.Step().TripNumber);
    }

    [Fact]
    [Trait("SR", "25")]
    public void Of_causes_in_one_cycle_the_most_severe_is_named_first_and_then_the_one_declared_first()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with
        {
            Reference = s.Reference with { Value = Pressure.FromPascals(1_800_000) },
            Source = s.Source with { UnitChanged = true },
        };
        Assert.Equal(Cause.OverCeiling, rig.Step().FirstCause);
        Assert.Equal(Cause.VentFailed, CausePolicy.First(CauseSet.Of(Cause.OverCeiling) | CauseSet.Of(Cause.VentFailed)));
    }

    [Fact]
    [Trait("SR", "24")]
    public void A_trip_is_still_there_after_a_restart()
    {
        var rig = new Rig(state: SafetyState.AfterRestart(CauseSet.Of(Cause.OverCeiling), Cause.OverCeiling, 7));
        rig.Ask(Rig.Gauge(100_000));
        Decision decision = rig.Run(20);
        Assert.Equal((GuardPhase.Tripped, Cause.OverCeiling, 7u), (decision.Phase, decision.FirstCause, decision.TripNumber));
        rig.Wants = IntentKind.None;
        Assert.Equal(GuardPhase.Safe, Acknowledge(rig, 7).Phase);
    }

    [Fact]
    [Trait("SR", "45")]
    public void A_lowered_ceiling_is_still_in_force_after_a_restart()
    {
        SafetyState state = SafetyState.AfterRestart(CauseSet.Empty, Cause.None, 3, Rig.Gauge(200_000));
        var rig = new Rig(state: state);
        rig.Until(d => d.Safe, 20);
        rig.Ask(Rig.Gauge(200_000));
        Assert.True(rig.Run(1).Causes.Contains(Cause.ProposalOverCeiling));
        Assert.Equal((Rig.Gauge(200_000), GuardPhase.Safe), (rig.Decision.EffectiveCeiling, rig.Decision.Phase));
    }

    [Fact]
    [Trait("SR", "30")]
    public void Safe_is_withdrawn_in_the_cycle_in_which_a_sensor_is_lost_or_leaves_the_band()
    {
        Rig rig = Rig.Safe();
        rig.Fault = s => s with { Reference = s.Reference with { Value = Pressure.FromPascals(101_200) } };
        Assert.Equal((false, GuardPhase.Boot), (rig.Step().Safe, rig.Decision.Phase));
        Assert.True(rig.Decision.Latched.IsEmpty);

        rig = Rig.Safe();
        rig.Fault = s => s with { SourceSensor = s.SourceSensor with { Quality = ReadingQuality.NoReply } };
        Assert.Equal((false, GuardPhase.Boot), (rig.Step().Safe, rig.Decision.Phase));
    }

    [Fact]
    [Trait("SR", "45")]
    public void A_stop_while_safe_keeps_a_sequencer_from_going_on()
    {
        Rig rig = Rig.Safe();
        rig.Person = PersonRequest.Stop;
        rig.Step();
        rig.Ask(Rig.Gauge(100_000));
        Assert.Equal((GuardPhase.Safe, SafetyAction.Rest), (rig.Run(10).Phase, rig.Decision.Action));
        rig.Wants = IntentKind.None;
        rig.Step();
        rig.Ask(Rig.Gauge(100_000));
        Assert.Equal(GuardPhase.Permitted, rig.Run(1).Phase);
    }

    [Fact]
    [Trait("SR", "45")]
    public void The_ceiling_is_lowered_at_once_and_raised_only_while_safe_and_never_above_the_parts()
    {
        Rig rig = Rig.Pressurised();
        rig.Person = PersonRequest.LowerCeiling(Rig.Gauge(700_000));
        Assert.Equal(Rig.Gauge(700_000), rig.Step().EffectiveCeiling);
        rig.Person = PersonRequest.RaiseCeiling(Rig.Gauge(800_000));
        Assert.True(rig.Step().Causes.Contains(Cause.RequestRefused));
        rig.Wants = IntentKind.Vent;
        rig.Until(d => d.Phase == GuardPhase.Safe, 60);
        rig.Person = PersonRequest.RaiseCeiling(Rig.Gauge(1_600_001));
        Assert.True(rig.Step().Causes.Contains(Cause.RequestRefused));
        Assert.Equal(Rig.Gauge(700_000), rig.Decision.EffectiveCeiling);
        rig.Person = PersonRequest.RaiseCeiling(Rig.Gauge(1_600_000));
        Assert.Equal(Rig.Gauge(1_600_000), rig.Step().EffectiveCeiling);
        rig.Person = PersonRequest.LowerCeiling(Rig.Atmosphere);
        Assert.True(rig.Step().Causes.Contains(Cause.RequestRefused));
    }

    [Fact]
    [Trait("SR", "03")]
    public void A_ceiling_lowered_below_the_pressure_trips()
    {
        Rig rig = Rig.Pressurised();
        rig.Person = PersonRequest.LowerCeiling(Rig.Gauge(300_000));
        Assert.Equal(Cause.OverCeiling, rig.Step().FirstCause);
    }

    [Fact]
    [Trait("SR", "05")]
    public void Without_the_read_back_of_its_upper_limit_a_source_is_not_let_go()
    {
        Rig rig = Rig.Safe(Rig.Bench() with { SourceUpperLimit = Pressure.FromPascals(1_750_000) });
        rig.Ask(Rig.Gauge(100_000));
        Assert.Equal(GuardPhase.Safe, rig.Run(5).Phase);
        rig.Fault = s => s with { Source = s.Source with { UpperLimitKnown = true, UpperLimit = Pressure.FromPascals(1_750_500) } };
        Assert.Equal(GuardPhase.Permitted, rig.Run(1).Phase);
    }

    [Fact]
    [Trait("SR", "34")]
    public void The_source_is_not_told_to_regulate_before_the_dump_valve_is_seen_shut()
    {
        Rig rig = Rig.Safe();
        rig.Ask(Rig.Gauge(100_000));
        Decision first = rig.Step();
        Assert.Equal((GuardPhase.Permitted, SafetyAction.Isolate, true), (first.Phase, first.Action, first.KeepAlive));
        Assert.Equal(SafetyAction.Control, rig.Run(1).Action);
    }

    [Fact]
    [Trait("SR", "36")]
    public void A_new_sequencer_does_not_inherit_the_pressure_of_the_old_one()
    {
        Rig rig = Rig.Pressurised();
        rig.Fault = s => s with { Intent = s.Intent with { Epoch = 2 } };
        Assert.Equal((GuardPhase.Stopping, Cause.IntentLapsed), (rig.Step().Phase, rig.Decision.FirstCause));
    }

    [Fact]
    [Trait("SR", "31")]
    public void A_blocked_vent_is_slow_after_two_time_constants_and_failed_after_three()
    {
        Rig rig = Rig.Pressurised();
        rig.Person = PersonRequest.Dump;
        rig.Fault = s => s with { Reference = s.Reference with { Value = Rig.Gauge(500_000) }, SourceSensor = SensorReading.NotFitted };
        rig.Step();
        long decided = rig.Now;
        rig.Until(d => d.Causes.Contains(Cause.VentSlow), 20);
        Assert.InRange(rig.Now - decided, 3_000_000, 3_100_000);
        Assert.False(rig.Decision.Causes.Contains(Cause.VentFailed));
        rig.Until(d => d.Causes.Contains(Cause.VentFailed), 20);
        Assert.InRange(rig.Now - decided, 4_000_000, 4_100_000);
    }

    [Theory]
    [InlineData(200_000, false)]
    [InlineData(300_000, false)]
    [InlineData(300_001, true)]
    [InlineData(0, true)]
    [InlineData(-5, true)]
    [Trait("SR", "15")]
    public void A_clock_that_stands_still_goes_back_or_jumps_trips(long elapsedMicros, bool trips)
    {
        Rig rig = Rig.Pressurised();
        SafetyState state = rig.State;
        rig.Step();
        long now = state.NowMicros + elapsedMicros;
        Observation seen = rig.Seen with
        {
            NowMicros = now,
            WallMillis = state.WallMillis + (elapsedMicros / 1000),
            Reference = rig.Seen.Reference with { AskedAtMicros = now - 70_000 },
            Intent = rig.Seen.Intent with { IssuedMicros = now },
        };
        Decision decision = SafetyKernel.Decide(state, seen, rig.Limits, out _);
        Assert.Equal(trips, decision.Latched.Contains(Cause.TimeFault));
    }

    [Fact]
    public void A_default_decision_permits_nothing()
    {
        Decision nothing = default;
        Assert.Equal((SafetyAction.Rest, 0L, false, false), (nothing.Action, nothing.LeaseUntilMicros, nothing.KeepAlive, nothing.Safe));
        Assert.Empty(typeof(Decision).GetConstructors());
        Assert.All(typeof(Decision).GetProperties(), p => Assert.Null(p.SetMethod));
    }

    [Fact]
    public void One_variable_may_be_state_and_next_state()
    {
        Rig rig = Rig.Pressurised();
        SafetyState apart = rig.State;
        rig.Wants = IntentKind.Vent;
        rig.Step();
        Decision decision = SafetyKernel.Decide(apart, rig.Seen, rig.Limits, out SafetyState next);
        Assert.Equal(rig.Decision, decision);
        Assert.Equal(rig.State, next);
    }

    private static Decision Acknowledge(Rig rig, uint trip)
    {
        rig.Person = PersonRequest.Acknowledge(trip);
        return rig.Step();
    }
}
