using Barostep.Configuration;
using Barostep.Control;
using Barostep.Safety;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Control;

public class BenchBudgetTests
{
    private static readonly DateOnly Today = new(2026, 11, 25);
    private static readonly WorkshopConfiguration Workshop = ShippedConfiguration.Load().Configuration;
    private static readonly BenchDefinition Bench = Workshop.Benches["demo"];
    private static readonly DeviceDefinition Device = Workshop.Devices["transmitter-16bar"];

    [Theory]
    [InlineData("demo", "transmitter-16bar")]
    [InlineData("gauge", "gauge-10bar")]
    [InlineData("demo", null)]
    [InlineData("gauge", null)]
    [Trait("SR", "02")]
    public void The_shipped_benches_are_permitted(string bench, string? device)
    {
        BenchPermit permit = BenchPermit.For(Workshop.Benches[bench], device is null ? null : Workshop.Devices[device], Workshop.Origins, Today);

        Assert.Empty(permit.Refusals(Workshop.Benches[bench]));
        Assert.True(permit.IsGranted);
    }

    [Fact]
    [Trait("SR", "02")]
    public void A_wider_restrictor_is_refused_with_the_part_and_the_figures()
    {
        BenchDefinition wide = Bench with { GasPath = Bench.GasPath with { Fill = Bench.GasPath.Fill with { Conductance = 5e-10 } } };

        BenchPermit permit = BenchPermit.For(wide, Device, Workshop.Origins, Today);

        Assert.False(permit.IsGranted);
        string refusal = Assert.Single(permit.Refusals(wide));
        Assert.StartsWith("benches/demo.toml: (d) RV-1", refusal, StringComparison.Ordinal);
        Assert.Contains("(21 bar gauge) IS NOT BELOW relief valve RV-1", refusal, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "14")]
    public void A_line_too_slow_for_its_period_is_refused()
    {
        BenchDefinition slow = Bench with { Reaction = Bench.Reaction with { AdapterLatency = 0.016, Turnaround = 0.020 } };

        Assert.Contains(BenchPermit.For(slow, null, Workshop.Origins, Today).Refusals(slow), refusal => refusal.Contains("(f) line to the reference", StringComparison.Ordinal));
    }

    [Fact]
    public void Lengths_and_speeds_come_from_the_instruments()
    {
        GuardTiming timing = Inputs(Bench).Timing;

        // fixed-indicator: ">07P", two check digits, CR; "<07P", eleven characters, two letters, a 0, two check digits, CR.
        Assert.Equal((7, 21), (timing.RequestBytes, timing.ReplyBytes));
        Assert.Equal((9600.0, 10.0), (timing.Baud, timing.BitsPerByte));
        // text-controller: "SOUR:MODE VENT;MODE?" or "SOUR:MODE HOLD;MODE?" and LF, on a line of its own.
        Assert.Equal(21, timing.CommandBytes);
        Assert.Equal(19200, timing.CommandLine!.Baud);
        Assert.Equal(38400, Inputs(Bench with { Reference = Bench.Reference with { Baud = 38400 } }).Timing.Baud);
    }

    [Fact]
    [Trait("SR", "15")]
    public void A_reading_is_stale_in_the_budget_when_it_is_in_the_kernel()
    {
        SafetyLimits limits = BenchSafety.LimitsFor(Bench, Device, Workshop.Origins);

        Assert.Equal(limits.ReferenceStaleAfterMicros / 1e6, OvershootBudget.Evaluate(Inputs(Bench)).StaleAgeSeconds, 12);
    }

    [Fact]
    [Trait("SR", "01")]
    public void A_derated_part_limits_the_ceiling_by_what_is_left_of_its_rating()
    {
        BenchDefinition hot = Bench with { Parts = [Bench.Parts[0] with { Derating = 0.3m }] };

        // 30 % of the hose's 40 bar.
        Assert.Equal(12, BenchSafety.LimitsFor(hot, null, Workshop.Origins).EffectiveCeiling.In(PressureUnit.Bar, PressureReference.Gauge, BenchLimits.AtmosphereOf(hot)), 9);
        Assert.Contains("derated from 40 bar gauge", Inputs(hot).Parts[0].Name, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "46")]
    public void A_bench_that_needs_somebody_present_has_one_bar_and_fifty_joules_unless_its_owner_says_more()
    {
        BenchDefinition attended = Bench with { Protection = Bench.Protection with { UnattendedAllowed = false, AttendedMostPressure = null, AttendedMostJoules = 50 } };
        BenchPermit permit = BenchPermit.For(attended, null, Workshop.Origins, Today);
        Assert.True(permit.Report!.Permitted);
        Assert.False(permit.IsGranted);
        Assert.Contains(permit.Attended, refusal => refusal.Contains("above the 1 bar gauge", StringComparison.Ordinal));
        Assert.Contains(permit.Attended, refusal => refusal.Contains("more than the 50 J", StringComparison.Ordinal));
        Assert.Equal(2, permit.Refusals(attended).Count);

        BenchDefinition accepted = attended with
        {
            Protection = attended.Protection with { AttendedMostPressure = attended.Ceiling, AttendedMostJoules = permit.Report.StoredEnergyJoules },
        };
        Assert.True(BenchPermit.For(accepted, null, Workshop.Origins, Today).IsGranted);
        BenchDefinition alone = attended with
        {
            Protection = attended.Protection with { KeepAlive = new FittedKeepAlive(0.5, 0.02, Challenges: true), UnattendedAllowed = true },
        };
        Assert.Empty(BenchPermit.For(alone, null, Workshop.Origins, Today).Attended);
    }

    [Fact]
    [Trait("SR", "46")]
    public void A_bench_runs_alone_only_with_everything_that_this_needs()
    {
        BenchDefinition complete = Bench with
        {
            Protection = Bench.Protection with { KeepAlive = new FittedKeepAlive(0.5, 0.02, Challenges: true), UnattendedAllowed = true },
        };
        Assert.Empty(Reasons(complete, Today));

        Assert.Contains("keep-alive", Assert.Single(Reasons(complete with { Protection = complete.Protection with { KeepAlive = null } }, Today)), StringComparison.Ordinal);
        Assert.Contains("owner", Assert.Single(Reasons(complete with { Protection = complete.Protection with { UnattendedAllowed = false } }, Today)), StringComparison.Ordinal);
        FittedReliefValve relief = complete.Protection.ReliefValve!;
        Assert.Contains("no recorded test", Assert.Single(Reasons(With(relief with { LastTest = null }), Today)), StringComparison.Ordinal);
        DateOnly due = relief.LastTest!.Value.AddMonths(relief.TestIntervalMonths);
        Assert.Empty(Reasons(complete, due));
        Assert.Contains("overdue", Assert.Single(Reasons(complete, due.AddDays(1))), StringComparison.Ordinal);
        Assert.Contains("overdue", Assert.Single(Reasons(complete, relief.LastTest.Value.AddDays(-1))), StringComparison.Ordinal);

        BenchDefinition With(FittedReliefValve valve) => complete with { Protection = complete.Protection with { ReliefValve = valve } };
    }

    [Fact]
    [Trait("SR", "03, 46")]
    public void A_source_without_a_sensor_leaves_one_and_somebody_must_be_present()
    {
        var exchanges = new Dictionary<Barostep.Instruments.Capability, Barostep.Instruments.ExchangeDefinition>(Bench.Source!.Definition.Exchanges);
        exchanges.Remove(Barostep.Instruments.Capability.ReadPressure);
        BenchDefinition blind = Bench with { Source = Bench.Source with { Definition = Bench.Source.Definition with { Exchanges = exchanges } } };

        Assert.Equal(1, Inputs(blind).PressureSensors);
        Assert.Contains(Reasons(blind, Today), reason => reason.StartsWith("only one sensor", StringComparison.Ordinal));
    }

    [Fact]
    public void A_set_point_of_the_device_counts_and_without_one_the_highest_that_the_kernel_lets_pass()
    {
        Pressure atmosphere = BenchLimits.AtmosphereOf(Bench);
        Assert.Equal(Device.RangeTo.ToAbsolute(atmosphere).Pascals, Inputs(Bench).SetPointMaximumPascals);
        Assert.Equal(
            Bench.Ceiling.ToAbsolute(atmosphere).Pascals - 40_000,
            BenchBudget.InputsFor(Bench, null, Workshop.Origins, Today).SetPointMaximumPascals, 6);
    }

    private static BudgetInputs Inputs(BenchDefinition bench) => BenchBudget.InputsFor(bench, Device, Workshop.Origins, Today);

    private static IReadOnlyList<string> Reasons(BenchDefinition bench, DateOnly today) =>
        OvershootBudget.Evaluate(BenchBudget.InputsFor(bench, null, Workshop.Origins, today)).AttendedOnlyReasons;
}
