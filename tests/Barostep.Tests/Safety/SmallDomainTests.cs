using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>Every combination of a small abstract domain: level, quality, age, second sensor, intent, request, in every phase.</summary>
public sealed class SmallDomainTests
{
    private static readonly SafetyLimits Limits = Rig.Bench();

    private static readonly SafetyLimits LowerLimits = new(
        [new("device", Pressure.FromPascals(1_650_000), Pressure.FromPascals(50_000), "device.toml:1")],
        Rig.Atmosphere,
        50_000_000)
    {
        SetPointMargin = Limits.SetPointMargin,
        AgreementTolerance = Limits.AgreementTolerance,
        NearBand = Limits.NearBand,
        StrayBand = Limits.StrayBand,
    };

    private static readonly long[] CeilingOffsets = [-1, 0, 1, 3_000_000_000];

    private static readonly ReadingQuality[] Qualities =
        [ReadingQuality.Good, ReadingQuality.NoReply, ReadingQuality.OverRange, ReadingQuality.WrongUnit, ReadingQuality.LineLost];

    private static readonly long[] AgesMicros = [75_000, 200_000, 200_001, 300_001];

    private static readonly Func<Observation, Observation>[] Worse =
    [
        s => s with { Source = s.Source with { LineUp = false } },
        s => s with { Source = s.Source with { RestartSeen = true } },
        s => s with { Source = s.Source with { UnitChanged = true } },
        s => s with { Source = s.Source with { IdentityChanged = true } },
        s => s with { Source = s.Source with { Pending = SafetyAction.Vent, PendingSinceMicros = s.NowMicros - 400_000 } },
        s => s with { Relay = s.Relay with { StopInputOpen = true } },
        s => s with { Host = s.Host with { JournalFailed = true } },
        s => s with { Host = s.Host with { DiskLow = true } },
        s => s with { Host = s.Host with { UncleanStart = true } },
        s => s with { Host = s.Host with { SuspendedMicros = 1_000 } },
        s => Aged(s, 60_000),
        s => Aged(s, 400_000),
        s => Raised(s, 1_000_000),
        s => Raised(s, 1_000_000_000),
        s => s with { Person = PersonRequest.Dump },
    ];

    public static TheoryData<GuardPhase> Phases => new(Enum.GetValues<GuardPhase>());

    [Theory]
    [MemberData(nameof(Phases))]
    [Trait("SR", "03, 04, 12")]
    public void No_combination_permits_anything_at_or_above_the_ceiling(GuardPhase phase)
    {
        (SafetyState state, Observation seen) = Base(phase);
        foreach (Observation one in Combinations(seen))
        {
            Decision decision = SafetyKernel.Decide(state, one, Limits, out SafetyState next);
            bool over = IsOver(one.Reference) || IsOver(one.SourceSensor);
            if (over)
                Assert.True(decision.Verdict >= Verdict.Trip && decision.Action == SafetyAction.Dump && !decision.KeepAlive);
            if (decision.Phase == GuardPhase.Testing)
                Assert.True(decision.Action == SafetyAction.Isolate && !decision.KeepAlive && decision.LeaseUntilMicros == 0);
            else if (decision.Action is SafetyAction.Control or SafetyAction.Isolate || decision.LeaseUntilMicros != 0)
                Assert.True(!over && decision.Phase == GuardPhase.Permitted && decision.Latched.IsEmpty && decision.Verdict <= Verdict.Hold);
            if (decision.Action == SafetyAction.Control)
                Assert.True(decision.SetPoint <= decision.EffectiveCeiling - Limits.SetPointMargin && decision.LeaseUntilMicros > one.NowMicros);
            if (decision.LeaseUntilMicros > state.LeaseUntilMicros)
                Assert.True(one.Reference.IsGood && one.NowMicros - one.Reference.AskedAtMicros <= Limits.ReferenceLateAfterMicros);
            if (decision.Safe)
            {
                Assert.True((one.Reference.Value - Limits.Atmosphere).Magnitude() <= Limits.SafeBand && one.Reference.IsGood);
                Assert.True(decision.LeaseUntilMicros == 0 && decision.Action is SafetyAction.Rest or SafetyAction.Vent or SafetyAction.Dump);
            }

            Decision again = SafetyKernel.Decide(state, one, Limits, out SafetyState nextAgain);
            Assert.True(again == decision && nextAgain == next, "Equal inputs, unequal outputs.");
        }
    }

    [Theory]
    [MemberData(nameof(Phases))]
    [Trait("SR", "24, 26")]
    public void What_is_latched_stays_latched_unless_its_trip_is_named(GuardPhase phase)
    {
        (SafetyState state, Observation seen) = Base(phase);
        foreach (Observation one in Combinations(seen))
        {
            Decision decision = SafetyKernel.Decide(state, one, Limits, out _);
            CauseSet trips = state.Latched & CausePolicy.Acknowledged;
            bool named = one.Person.Kind == PersonRequestKind.Acknowledge && one.Person.TripNumber == state.TripNumber;
            if (!named)
                Assert.True((trips - decision.Latched).IsEmpty);
            else if (!(trips - decision.Latched).IsEmpty)
                Assert.True(decision.Safe && decision.Phase is GuardPhase.Safe or GuardPhase.Boot);
        }
    }

    [Theory]
    [MemberData(nameof(Phases))]
    [Trait("SR", "03, 15")]
    public void Seeing_worse_never_gives_a_milder_verdict(GuardPhase phase)
    {
        (SafetyState state, Observation seen) = Base(phase);
        foreach (Observation one in Combinations(seen))
        {
            Verdict verdict = SafetyKernel.Decide(state, one, Limits, out _).Verdict;
            Assert.True(SafetyKernel.Decide(state, one, LowerLimits, out _).Verdict >= verdict);
            for (int i = 0; i < Worse.Length; i++)
            {
                Observation worse = Worse[i](one);
                Decision decision = SafetyKernel.Decide(state, worse, Limits, out _);
                Assert.True(decision.Verdict >= verdict, $"Change {i}: {verdict} became {decision.Verdict} for {worse}");
            }
        }
    }

    [Theory]
    [MemberData(nameof(Phases))]
    [Trait("SR", "50")]
    public void The_wall_clock_changes_nothing_but_its_own_warning(GuardPhase phase)
    {
        (SafetyState state, Observation seen) = Base(phase);
        foreach (Observation one in Combinations(seen))
        {
            Decision decision = SafetyKernel.Decide(state, one, Limits, out _);
            Decision stepped = SafetyKernel.Decide(state, one with { WallMillis = -3_000_000_000 }, Limits, out _);
            Assert.True(stepped.Causes == decision.Causes.With(Cause.WallClockStepped) && stepped.SamplesVoid);
            Assert.True(stepped.Action == decision.Action && stepped.SetPoint == decision.SetPoint && stepped.Phase == decision.Phase);
            Assert.True(stepped.Latched == decision.Latched && stepped.LeaseUntilMicros == decision.LeaseUntilMicros);
            Assert.True(stepped.KeepAlive == decision.KeepAlive && stepped.Safe == decision.Safe);
        }
    }

    private static bool IsOver(SensorReading reading) => reading.IsGood && reading.Value >= Limits.EffectiveCeiling;

    /// <summary>A state in the wanted phase, and the healthy observation that would come next.</summary>
    private static (SafetyState State, Observation Seen) Base(GuardPhase phase)
    {
        Rig rig = phase switch
        {
            GuardPhase.Boot => new Rig(Limits),
            GuardPhase.Safe => Rig.Safe(Limits),
            _ => Rig.Pressurised(Limits),
        };
        switch (phase)
        {
            case GuardPhase.Boot:
                rig.Run(1);
                break;
            case GuardPhase.Venting:
                rig.Wants = IntentKind.Vent;
                rig.Run(1);
                break;
            case GuardPhase.Stopping:
                rig.Person = PersonRequest.Stop;
                rig.Run(1);
                break;
            case GuardPhase.Testing:
                rig.DumpOpens = false;
                rig.Wants = IntentKind.TestDump;
                rig.Run(0.5);
                break;
            case GuardPhase.Tripped:
                // Vented long enough, so that an acknowledgement is among the things that may be accepted.
                rig.Person = PersonRequest.Dump;
                rig.Run(30);
                break;
        }

        Assert.Equal(phase, rig.Decision.Phase);
        SafetyState state = rig.State;
        rig.Step();
        return (state, rig.Seen);
    }

    private static IEnumerable<Observation> Combinations(Observation seen)
    {
        foreach (Observation levelled in Levels(seen))
        {
            foreach (ReadingQuality quality in Qualities)
            {
                foreach (long age in AgesMicros)
                {
                    Observation read = levelled with
                    {
                        Reference = levelled.Reference with { Quality = quality, AskedAtMicros = seen.NowMicros - age },
                    };
                    foreach (Intent intent in Intents(seen))
                    {
                        foreach (PersonRequest person in Requests())
                            yield return read with { Intent = intent, Person = person };
                    }
                }
            }
        }
    }

    private static IEnumerable<Observation> Levels(Observation seen)
    {
        yield return seen;
        yield return seen with { SourceSensor = SensorReading.NotFitted };
        foreach (long offset in CeilingOffsets)
        {
            Pressure level = Pressure.FromMilliPascals(Limits.EffectiveCeiling.MilliPascals + offset);
            yield return seen with { Reference = seen.Reference with { Value = level } };
            yield return seen with { SourceSensor = seen.SourceSensor with { Value = level } };
        }
    }

    private static IEnumerable<Intent> Intents(Observation seen)
    {
        foreach (IntentKind kind in Enum.GetValues<IntentKind>())
            yield return seen.Intent with { Kind = kind, Target = Rig.Gauge(500_000) };
        yield return seen.Intent with { Kind = IntentKind.Pressurise, Target = Limits.EffectiveCeiling };
        yield return seen.Intent with { Kind = IntentKind.Pressurise, Target = Rig.Gauge(600_000), IssuedMicros = seen.NowMicros - 300_001 };
    }

    private static PersonRequest[] Requests() =>
    [
        PersonRequest.None,
        PersonRequest.Stop,
        PersonRequest.Acknowledge(1),
        PersonRequest.Acknowledge(2),
        PersonRequest.LowerCeiling(Rig.Gauge(800_000)),
        PersonRequest.RaiseCeiling(Rig.Gauge(9_000_000)),
    ];

    private static Observation Aged(Observation seen, long byMicros) =>
        seen with { Reference = seen.Reference with { AskedAtMicros = seen.Reference.AskedAtMicros - byMicros } };

    private static Observation Raised(Observation seen, long byMilliPascals) =>
        seen with { Reference = seen.Reference with { Value = seen.Reference.Value + new PressureDifference(byMilliPascals) } };
}
