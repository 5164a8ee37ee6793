using Barostep.Configuration;
using Barostep.Control;
using Barostep.Safety;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Control;

public class BenchSafetyTests
{
    private static readonly WorkshopConfiguration Workshop = ShippedConfiguration.Load().Configuration;
    private static readonly BenchDefinition Bench = Workshop.Benches["demo"] with
    {
        Atmosphere = new(101_325m, PressureUnit.Pascal, PressureReference.Absolute),
        Ceiling = new(17m, PressureUnit.Bar, PressureReference.Gauge),
        Floor = new(-0.3m, PressureUnit.Bar, PressureReference.Gauge),
        MaxRatePascalsPerSecond = 50_000,
    };

    private static readonly DeviceDefinition Device = Workshop.Devices["transmitter-16bar"];

    [Fact]
    [Trait("SR", "01")]
    public void The_weakest_part_governs_and_says_where_it_was_written()
    {
        SafetyLimits limits = BenchSafety.LimitsFor(Bench, Device, Workshop.Origins);
        Assert.Equal(17e5 + 101_325, limits.EffectiveCeiling.Pascals);
        Assert.Equal(101_325 - 0.3e5, limits.EffectiveFloor.Pascals);
        Assert.Contains("demo.toml", limits.CeilingGovernedBy.Origin, StringComparison.Ordinal);
        Assert.Contains(limits.Contributions, c => c.Source.Contains(Device.Name, StringComparison.Ordinal));

        DeviceDefinition weak = Device with { Rating = new(12m, PressureUnit.Bar, PressureReference.Gauge) };
        Assert.Equal(12e5 + 101_325, BenchSafety.LimitsFor(Bench, weak, Workshop.Origins).EffectiveCeiling.Pascals);
        Assert.Equal(17e5 + 101_325, BenchSafety.LimitsFor(Bench, null, Workshop.Origins).EffectiveCeiling.Pascals);
    }

    [Fact]
    public void The_slowest_part_sets_the_rate()
    {
        Assert.Equal(50_000_000, BenchSafety.LimitsFor(Bench, Device, Workshop.Origins).MaxRateMilliPascalsPerSecond);
        BenchDefinition delicate = Bench with { Parts = [Bench.Parts[0] with { MaxRatePascalsPerSecond = 20_000 }] };
        Assert.Equal(20_000_000, BenchSafety.LimitsFor(delicate, Device, Workshop.Origins).MaxRateMilliPascalsPerSecond);
    }

    [Fact]
    [Trait("SR", "05")]
    public void The_source_is_told_the_ceiling_as_its_own_limit_where_it_has_one()
    {
        SafetyLimits limits = BenchSafety.LimitsFor(Bench, Device, Workshop.Origins);
        Assert.Equal(limits.EffectiveCeiling, limits.SourceUpperLimit);
        BenchDefinition without = Bench with { Source = Bench.Reference };
        Assert.Null(BenchSafety.LimitsFor(without, Device, Workshop.Origins).SourceUpperLimit);
    }

    [Fact]
    public void The_vent_takes_the_time_that_the_largest_volume_needs_and_half_more()
    {
        // ISO 6358: the time constant is V / (C * 0.997); here 0.6 dm3 / (0.05 dm3/(s bar) * 1 bar * 0.997), worked out by hand.
        BenchDefinition large = Bench with
        {
            GasPath = Bench.GasPath with { VolumeMaximum = 0.6e-3, Vent = new FlowPath(0.05e-8, 0.35) },
        };
        long expected = (long)(1.5 * 12.036_108e6);
        Assert.InRange(BenchSafety.LimitsFor(large, Device, Workshop.Origins).VentTimeConstantMicros, expected - 1_000, expected + 1_000);
    }
}
