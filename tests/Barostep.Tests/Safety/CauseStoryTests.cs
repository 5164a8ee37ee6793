using Barostep.Safety;

namespace Barostep.Tests.Safety;

/// <summary>For every cause the story that raises it on a working bench, and what it must lead to.</summary>
public sealed class CauseStoryTests
{
    private static readonly Dictionary<Cause, Func<Rig>> Stories = new()
    {
        [Cause.OverCeiling] = () => Pressurised(rig => rig.Fault = Reference(1_700_000)),
        [Cause.UnderFloor] = () => Pressurised(rig => rig.Fault = Reference(50_000)),
        [Cause.StopInputOpen] = () => Pressurised(rig => rig.Fault = s => s with { Relay = s.Relay with { StopInputOpen = true } }),
        [Cause.OperatorDump] = () => Pressurised(rig => rig.Person = PersonRequest.Dump),
        [Cause.RiseWhileIsolated] = () => Pressurised(rig =>
        {
            rig.Wants = IntentKind.Isolate;
            rig.Run(2);
            rig.LeakPascalsPerSecond = -10_000;
        }),
        [Cause.RepressurisedWhileSafe] = () => WhenSafe(rig => rig.Fault = Reference(102_000)),
        [Cause.VentFailed] = () => Pressurised(rig =>
        {
            rig.Deaf = true;
            rig.Wants = IntentKind.Vent;
            rig.Fault = s => s with { Source = new SourceReport { LineUp = true } };
        }),
        [Cause.RateTooHigh] = () => Pressurised(rig => rig.LeakPascalsPerSecond = -90_000),
        [Cause.VolumeTooSmall] = () => Pressurised(
            rig =>
            {
                rig.Rate = 45_000_000;
                rig.Ask(Rig.Gauge(1_200_000));
            },
            Rig.Bench() with { FastestFillMilliPascalsPerSecond = 30_000_000 }),
        [Cause.WrongWay] = () => Pressurised(rig =>
        {
            rig.Deaf = true;
            rig.LeakPascalsPerSecond = 45_000;
        }),
        [Cause.InstrumentRestarted] = () => Pressurised(rig => rig.Fault = Source(s => s with { RestartSeen = true })),
        [Cause.UnitChanged] = () => Pressurised(rig => rig.Fault = Source(s => s with { UnitChanged = true })),
        [Cause.IdentityChanged] = () => Pressurised(rig => rig.Fault = Source(s => s with { IdentityChanged = true })),
        [Cause.UpperLimitMismatch] = () => Pressurised(
            rig => rig.Fault = Source(s => s with { UpperLimitKnown = true, UpperLimit = Pressure.FromPascals(2_100_000) }),
            Rig.Bench() with { SourceUpperLimit = Pressure.FromPascals(1_750_000) }),
        [Cause.ReadBackMismatch] = () => Pressurised(rig => rig.Fault = Source(s => s with { SetPoint = Rig.Gauge(502_000) })),
        [Cause.SensorsDisagree] = () => Pressurised(rig => rig.Fault = s => s with
        {
            SourceSensor = s.SourceSensor with { Value = s.SourceSensor.Value + PressureDifference.FromPascals(9_000) },
        }),
        [Cause.ReferenceLineLost] = () => Pressurised(rig => rig.Fault = ReferenceQuality(ReadingQuality.LineLost)),
        [Cause.SourceLineLost] = () => Pressurised(rig => rig.Fault = Source(s => s with { LineUp = false })),
        [Cause.ReferenceStale] = () => Pressurised(rig => rig.Fault = ReferenceQuality(ReadingQuality.NoReply)),
        [Cause.SourceStale] = () => Pressurised(rig => rig.Fault = s => s with { SourceSensor = s.SourceSensor with { Quality = ReadingQuality.NoReply } }),
        [Cause.VentNotAcknowledged] = () => Pressurised(rig =>
        {
            long since = rig.Now;
            rig.Fault = Source(s => s with { Pending = SafetyAction.Vent, PendingSinceMicros = since });
        }),
        [Cause.RelayStuckShut] = () => Pressurised(rig =>
        {
            rig.Person = PersonRequest.Dump;
            rig.Fault = s => s with { Relay = s.Relay with { DumpShut = true } };
        }),
        [Cause.FrozenWhileMoving] = () => Pressurised(rig =>
        {
            rig.Ask(Rig.Gauge(1_200_000));
            rig.Fault = ReferenceFrozen();
        }, Rig.Bench() with { ResponseWithinMicros = 10_000_000 }),
        [Cause.TimeFault] = () => Pressurised(rig => rig.Fault = s => s with { Host = new HostReport { SuspendedMicros = 1 } }),
        [Cause.InternalFault] = () => Pressurised(rig => rig.Fault = s => s with { Tick = s.Tick + 1 }),
        [Cause.UncleanStart] = () => new Rig { Fault = s => s with { Host = new HostReport { UncleanStart = true } } },
        [Cause.OperatorStop] = () => Pressurised(rig => rig.Person = PersonRequest.Stop),
        [Cause.IntentLapsed] = () => Pressurised(rig =>
        {
            Intent last = rig.Seen.Intent;
            rig.Fault = s => s with { Intent = last };
        }),
        [Cause.RunGivenUp] = () => Pressurised(rig => rig.Wants = IntentKind.Abort),
        [Cause.NoResponse] = () => Pressurised(rig =>
        {
            rig.Deaf = true;
            rig.Ask(Rig.Gauge(1_000_000));
            rig.Fault = Source(s => s with { SetPointKnown = false });
        }),
        [Cause.CommandNotAcknowledged] = () => Pressurised(rig =>
        {
            long since = rig.Now;
            rig.Fault = Source(s => s with { Pending = SafetyAction.Control, PendingSinceMicros = since });
        }),
        [Cause.SourceLeftControl] = () => Pressurised(rig => rig.Fault = Source(s => s with { Mode = SourceMode.Measuring })),
        [Cause.SensorFrozen] = () => Pressurised(rig => rig.Fault = ReferenceFrozen()),
        [Cause.RelayNotShut] = () => Pressurised(rig => rig.Fault = s => s with { Relay = s.Relay with { DumpShut = false } }),
        [Cause.SelfTestFailed] = () => AtTestPressure(rig =>
        {
            rig.DumpOpens = false;
            rig.Wants = IntentKind.TestDump;
        }),
        [Cause.JournalFault] = () => Pressurised(rig => rig.Fault = s => s with { Host = new HostReport { JournalFailed = true } }),
        [Cause.DiskLow] = () => Pressurised(rig => rig.Fault = s => s with { Host = new HostReport { DiskLow = true } }),
        [Cause.HeldTooOften] = () => Pressurised(rig => rig.Fault = s =>
            s.Tick % 100 < 2 ? s with { Intent = s.Intent with { RateMilliPascalsPerSecond = 0 } } : s),
        [Cause.HeadingOverCeiling] = () => Pressurised(
            rig => rig.Ask(Rig.Gauge(1_590_000)),
            Rig.Bench() with { SetPointMargin = new(1_000_000), HorizonMicros = 2_000_000 }),
        [Cause.HeadingUnderFloor] = () => Pressurised(
            rig =>
            {
                rig.Rate = 50_000_000;
                rig.Ask(Rig.Gauge(-45_000));
            },
            Rig.Bench() with { HorizonMicros = 2_000_000 }),
        [Cause.ProposalOverCeiling] = () => Pressurised(rig => rig.Ask(Rig.Gauge(1_568_001))),
        [Cause.ProposalUnderFloor] = () => Pressurised(rig => rig.Ask(Rig.Gauge(-50_000))),
        [Cause.SelfTestDue] = () => AtTestPressure(rig => rig.Ask(Rig.Gauge(500_000))),
        [Cause.ProposalVoid] = () => Pressurised(rig => rig.Rate = 0),
        [Cause.ReferenceLate] = () => Pressurised(rig => rig.Fault = ReferenceQuality(ReadingQuality.Garbled)),
        [Cause.SourceLate] = () => Pressurised(rig => rig.Fault = s => s with { SourceSensor = s.SourceSensor with { Quality = ReadingQuality.Garbled } }),
        [Cause.VentSlow] = () => Pressurised(rig =>
        {
            rig.Wants = IntentKind.Vent;
            rig.Fault = s => s.Intent.Kind == IntentKind.Vent && rig.Decision.Action == SafetyAction.Vent
                ? s with { Reference = s.Reference with { Value = Rig.Gauge(300_000) }, SourceSensor = SensorReading.NotFitted }
                : s;
        }, Rig.Bench() with { VentTimeConstantMicros = 5_000_000 }),
        [Cause.WallClockStepped] = () => Pressurised(rig => rig.Fault = s => s with { WallMillis = s.WallMillis + 3_600_000 }),
        [Cause.RequestRefused] = () => Pressurised(rig => rig.Person = PersonRequest.Acknowledge(9)),
    };

    public static TheoryData<Cause> EveryCause()
    {
        var data = new TheoryData<Cause>();
        foreach (CausePolicy one in CausePolicy.All)
            data.Add(one.Cause);
        return data;
    }

    [Theory]
    [MemberData(nameof(EveryCause))]
    [Trait("SR", "03, 04, 05, 06, 08, 12, 15, 16, 18, 19, 20, 23, 31, 34, 35, 36, 41, 42, 45, 50")]
    public void A_cause_leads_to_its_verdict_and_voids_the_samples(Cause cause)
    {
        CausePolicy policy = CausePolicy.Of(cause);
        Rig rig = Stories[cause]();
        Decision decision = rig.Until(d => d.Causes.Contains(cause), 60);

        Verdict expected = cause == Cause.RepressurisedWhileSafe ? policy.AtRest : policy.Verdict;
        Assert.True(decision.Verdict >= expected, $"{decision.Verdict} is milder than {expected}.");
        Assert.True(decision.SamplesVoid);
        AssertActionFits(decision);
    }

    [Theory]
    [MemberData(nameof(EveryCause))]
    [Trait("SR", "24")]
    public void A_trip_stays_until_it_is_acknowledged_and_an_abort_until_the_bench_is_vented(Cause cause)
    {
        CausePolicy policy = CausePolicy.Of(cause);
        Rig rig = Stories[cause]();
        Decision raised = rig.Until(d => d.Causes.Contains(cause), 60);
        rig.Fault = null;
        rig.Deaf = false;
        rig.LeakPascalsPerSecond = 0;
        rig.Rate = 20_000_000;

        Assert.Equal(policy.Clearing != Clearing.WhenGone, raised.Latched.Contains(cause));
        if (policy.Clearing == Clearing.WhenGone)
            return;
        rig.Ask(Rig.Gauge(500_000));
        Decision later = rig.Run(40);
        Assert.True(later.Latched.Contains(cause));
        Assert.True(later.Phase is GuardPhase.Tripped or GuardPhase.Stopping);
        Assert.True(later.Safe, "The bench was not seen vented.");

        rig.Wants = IntentKind.None;
        rig.Run(1);
        if (policy.Clearing == Clearing.ByAcknowledgement)
        {
            Assert.True(rig.Decision.Latched.Contains(cause));
            rig.Person = PersonRequest.Acknowledge(rig.Decision.TripNumber);
            rig.Step();
        }

        Assert.True(rig.Run(1).Latched.IsEmpty);
        Assert.Equal(GuardPhase.Safe, rig.Decision.Phase);
        Assert.Equal(SafetyAction.Rest, rig.Decision.Action);
    }

    [Fact]
    [Trait("SR", "29")]
    public void Every_cause_has_its_policy_in_the_order_of_the_enumeration()
    {
        Cause[] declared = [.. Enum.GetValues<Cause>().Where(c => c != Cause.None)];
        Assert.Equal(declared, CausePolicy.All.Select(p => p.Cause));
        Assert.True(declared.Length <= 63);
        Assert.All(CausePolicy.All, p => Assert.True(p.Verdict > Verdict.None && p.AtRest > Verdict.None && p.AtRest <= p.Verdict));
        Assert.All(CausePolicy.All, p => Assert.StartsWith("SR-", p.Requirements, StringComparison.Ordinal));
        Assert.All(CausePolicy.All.Where(p => p.Verdict >= Verdict.Trip), p => Assert.Equal(Clearing.ByAcknowledgement, p.Clearing));
    }

    [Fact]
    public void The_table_for_people_has_one_row_for_each_cause()
    {
        string[] rows = CausePolicy.ToMarkdown().Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(CausePolicy.All.Length + 2, rows.Length);
        Assert.Equal(
            "| OverCeiling | Trip | Trip | by acknowledgement | A sensor reads at or above the ceiling, or over its own range. " +
            "| Find out why before anything else: regulator, set point, or a stuck valve. | SR-03 |",
            rows[2]);
        Assert.All(rows, row => Assert.Equal(8, row.Count(c => c == '|')));
    }

    private static void AssertActionFits(Decision decision)
    {
        switch (decision.Verdict)
        {
            case Verdict.Drop or Verdict.Trip:
                Assert.Equal((GuardPhase.Tripped, SafetyAction.Dump, false, 0L), (decision.Phase, decision.Action, decision.KeepAlive, decision.LeaseUntilMicros));
                Assert.NotEqual(0u, decision.TripNumber);
                break;
            case Verdict.Abort:
                Assert.Equal((GuardPhase.Stopping, SafetyAction.Vent, 0L), (decision.Phase, decision.Action, decision.LeaseUntilMicros));
                break;
            case Verdict.Hold:
                Assert.Equal(GuardPhase.Permitted, decision.Phase);
                break;
            default:
                Assert.True(decision.Latched.IsEmpty);
                break;
        }
    }

    private static Rig Pressurised(Action<Rig> then, SafetyLimits? limits = null)
    {
        Rig rig = Rig.Safe(limits);
        if (limits?.SourceUpperLimit is { } upper)
            rig.Fault = Source(s => s with { UpperLimitKnown = true, UpperLimit = upper });
        rig.Ask(Rig.Gauge(500_000));
        rig.Until(_ => rig.Pascals > 598_000, 60);
        Assert.Equal(Verdict.None, rig.Run(4).Verdict);
        then(rig);
        return rig;
    }

    private static Rig AtTestPressure(Action<Rig> then)
    {
        Rig rig = Rig.AtTestPressure();
        then(rig);
        return rig;
    }

    private static Rig WhenSafe(Action<Rig> then)
    {
        Rig rig = Rig.Safe();
        then(rig);
        return rig;
    }

    private static Func<Observation, Observation> Reference(double pascals) =>
        seen => seen with { Reference = seen.Reference with { Value = Pressure.FromPascals(pascals) } };

    private static Func<Observation, Observation> ReferenceQuality(ReadingQuality quality) =>
        seen => seen with { Reference = seen.Reference with { Quality = quality } };

    private static Func<Observation, Observation> ReferenceFrozen()
    {
        Pressure? held = null;
        return seen =>
        {
            held ??= seen.Reference.Value;
            return seen with { Reference = seen.Reference with { Value = held.Value, RawHash = 11 }, SourceSensor = SensorReading.NotFitted };
        };
    }

    private static Func<Observation, Observation> Source(Func<SourceReport, SourceReport> change) =>
        seen => seen with { Source = change(seen.Source) };
}
