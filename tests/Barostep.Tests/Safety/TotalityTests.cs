using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>The kernel has an answer to everything, and needs no memory for it.</summary>
public sealed class TotalityTests
{
    private const int Observations = 500_000;

    [Theory]
    [InlineData(1UL)]
    [InlineData(20261125UL)]
    [Trait("SR", "03, 12, 24")]
    public void Random_observations_a_million_in_all_neither_throw_nor_permit_what_is_not_proved(ulong seed)
    {
        var random = new Dice(seed);
        SafetyLimits limits = Rig.Bench();
        SafetyState state = SafetyState.Initial;
        for (int i = 0; i < Observations; i++)
        {
            if (random.Below(64) == 0)
                state = SafetyState.AfterRestart(new CauseSet(random.Wild() == 0 ? 0 : 2UL << (int)random.Below((uint)CausePolicy.All.Length - 1)), Cause.OverCeiling, 5);
            Observation seen = random.Observation(state);
            CauseSet trips = state.Latched & CausePolicy.Acknowledged;
            Decision decision = SafetyKernel.Decide(state, seen, limits, out state);

            bool isolates = decision.Action == SafetyAction.Isolate && (decision.Phase != GuardPhase.Testing || decision.KeepAlive);
            bool energises = decision.Action == SafetyAction.Control || isolates || decision.LeaseUntilMicros != 0;
            bool over = seen.Reference.IsGood && seen.Reference.Value >= limits.EffectiveCeiling;
            if (energises && (over || decision.Phase != GuardPhase.Permitted || !decision.Latched.IsEmpty))
                Assert.Fail($"Seed {seed}, observation {i}: {decision} for {seen}");
            if (decision.Action == SafetyAction.Control && decision.SetPoint > limits.EffectiveCeiling - limits.SetPointMargin)
                Assert.Fail($"Seed {seed}, observation {i}: set point {decision.SetPoint}");
            if (over && decision.Verdict < Verdict.Trip)
                Assert.Fail($"Seed {seed}, observation {i}: over the ceiling, and {decision.Verdict}");
            if (seen.Person.Kind != PersonRequestKind.Acknowledge && !(trips - decision.Latched).IsEmpty)
                Assert.Fail($"Seed {seed}, observation {i}: {trips} became {decision.Latched}");
        }
    }

    [Fact]
    public void A_million_cycles_allocate_nothing()
    {
        SafetyLimits limits = Rig.Bench();
        Rig rig = Rig.Pressurised(limits);
        Observation[] seen = new Observation[256];
        for (int i = 0; i < seen.Length; i++)
        {
            rig.Person = i % 64 == 63 ? PersonRequest.Dump : PersonRequest.None;
            rig.Step();
            seen[i] = rig.Seen;
        }

        SafetyState state = rig.State;
        Spin(seen, limits, 1_000, ref state);
        long before = GC.GetAllocatedBytesForCurrentThread();
        Spin(seen, limits, 1_000_000, ref state);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    private static void Spin(Observation[] seen, SafetyLimits limits, int cycles, ref SafetyState state)
    {
        for (int i = 0; i < cycles; i++)
        {
            if (i % seen.Length == 0)
                state = SafetyState.Initial;
            SafetyKernel.Decide(state, seen[i % seen.Length], limits, out state);
        }
    }

    /// <summary>A small generator of ours, so that one seed means one run on every machine (PCG, O'Neill 2014, from memory).</summary>
    private sealed class Dice(ulong seed)
    {
        private static readonly long[] Corners =
            [0, 1, -1, long.MinValue, long.MaxValue, 100_000_000, 1_700_000_000, 50_000_000, 1_668_000_000, 600_000_000];

        private ulong _state = seed;

        public uint Below(uint bound) => Next() % bound;

        public long Wild() => Below(4) switch
        {
            0 => Corners[Below((uint)Corners.Length)],
            1 => ((long)Next() << 32) | Next(),
            _ => Next() % 2_000_000_000,
        };

        public Observation Observation(in SafetyState before)
        {
            long now = Below(20) == 0 ? Wild() : before.NowMicros + 50_000;
            return new Observation
            {
                Tick = Below(20) == 0 ? Wild() : before.Tick + 1,
                NowMicros = now,
                WallMillis = Below(20) == 0 ? Wild() : before.WallMillis + 50,
                Reference = Reading(now),
                SourceSensor = Below(2) == 0 ? SensorReading.NotFitted : Reading(now),
                Source = new SourceReport
                {
                    LineUp = Below(50) != 0,
                    Mode = (SourceMode)Below(8),
                    ModeAskedAtMicros = Below(4) == 0 ? Wild() : 0,
                    SetPoint = Pressure.FromMilliPascals(Wild()),
                    SetPointKnown = Below(50) == 0,
                    SetPointAskedAtMicros = Wild(),
                    UpperLimit = Pressure.FromMilliPascals(Wild()),
                    UpperLimitKnown = Below(2) == 0,
                    Pending = Below(50) == 0 ? (SafetyAction)Below(7) : SafetyAction.Rest,
                    PendingSinceMicros = Wild(),
                    RestartSeen = Below(90) == 0,
                    UnitChanged = Below(90) == 0,
                    IdentityChanged = Below(90) == 0,
                },
                Relay = new RelayReport { Fitted = Below(2) == 0, FeedbackKnown = Below(4) == 0, DumpShut = Below(2) == 0, StopInputOpen = Below(90) == 0 },
                Host = new HostReport { JournalFailed = Below(90) == 0, DiskLow = Below(90) == 0, UncleanStart = Below(90) == 0, SuspendedMicros = Below(90) == 0 ? Wild() : 0 },
                Person = new PersonRequest((PersonRequestKind)(Below(10) == 0 ? Below(8) : 0), Below(2) == 0 ? before.TripNumber : Next(), Pressure.FromMilliPascals(Wild()), 0),
                Intent = new Intent(
                    Below(40) == 0 ? Next() : before.IntentEpoch,
                    Below(40) == 0 ? Next() : before.IntentSequence,
                    (IntentKind)Below(7),
                    Pressure.FromMilliPascals(Wild()),
                    Wild(),
                    Below(40) == 0 ? Wild() : now),
            };
        }

        private SensorReading Reading(long now) => new(
            Below(8) == 0 ? (ReadingQuality)Below(9) : ReadingQuality.Good,
            Pressure.FromMilliPascals(Below(4) == 0 ? Wild() : 100_000_000 + Below(1_500_000)),
            Below(20) == 0 ? Wild() : now - 70_000,
            Below(20) == 0 ? Wild() : now - 30_000,
            Next(),
            Below(3) == 0 ? Wild() : now);

        private uint Next()
        {
            ulong old = _state;
            _state = (old * 6_364_136_223_846_793_005UL) + 1_442_695_040_888_963_407UL;
            uint shifted = (uint)(((old >> 18) ^ old) >> 27);
            return uint.RotateRight(shifted, (int)(old >> 59));
        }
    }
}
