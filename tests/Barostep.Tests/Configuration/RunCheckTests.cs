using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Tests.Configuration;

public sealed class RunCheckTests
{
    private static readonly WorkshopConfiguration Workshop = FixedWorkshop.Load().Configuration;
    private static readonly BenchDefinition Bench = Workshop.Benches["demo"];
    private static readonly DeviceDefinition Device = Workshop.Devices["transmitter-16bar"];
    private static readonly Procedure Recipe = Workshop.Procedures["eleven-point"];

    [Fact]
    public void Accepts_the_shipped_runs()
    {
        Assert.Equal(2, Workshop.Daemon.Runs.Count);
        Assert.All(Workshop.Daemon.Runs, run => Assert.Empty(RunCheck.Check(
            Workshop.Benches[run.Bench], Workshop.Devices[run.Device], Workshop.Procedures[run.Procedure], Workshop.Origins)));
    }

    [Fact]
    public void Rejects_a_point_above_the_ceiling_at_the_first_such_point()
    {
        BenchDefinition low = Bench with { Ceiling = Gauge(14m) };

        ConfigurationError error = Only(low, Device, Recipe);

        Assert.Equal(Workshop.Origins.Of(Recipe, "points_of_span.9"), error.Where);
        Assert.Equal("the point 90 % of device transmitter-16bar is 14.4 bar gauge on bench demo, above the ceiling set by the user, 14 bar gauge (benches/demo.toml:12)", error.Found);
    }

    [Fact]
    [Trait("SR", "04")]
    public void Rejects_a_point_within_the_margin_below_the_ceiling()
    {
        BenchDefinition tight = Bench with { Ceiling = Gauge(16.2m) };

        Assert.Contains("above 15.8 bar gauge, which is the ceiling set by the user (benches/demo.toml:12) less the set-point margin", Only(tight, Device, Recipe).Found, StringComparison.Ordinal);
    }

    [Theory]
    // 2 % of 16.3265 bar above the atmosphere leaves just under 16 bar; of 16.33 bar just over it.
    [InlineData("16.326", false)]
    [InlineData("16.33", true)]
    public void Without_a_margin_of_its_own_a_bench_keeps_two_per_cent(string ceiling, bool accepted)
    {
        BenchDefinition bench = Bench with { SetPointMargin = null, Ceiling = Gauge(decimal.Parse(ceiling, System.Globalization.CultureInfo.InvariantCulture)) };

        Assert.Equal(accepted, RunCheck.Check(bench, Device, Recipe, Workshop.Origins).Count == 0);
    }

    [Fact]
    public void Rejects_a_point_above_the_rating_of_the_device()
    {
        DeviceDefinition weak = Device with { Rating = Gauge(15m) };

        ConfigurationError error = Only(Bench, weak, Recipe);

        Assert.Equal(Workshop.Origins.Of(Recipe, "points_of_span.10"), error.Where);
        Assert.Contains("above its rating, 15 bar gauge (devices/transmitter-16bar.toml:15)", error.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_a_point_above_the_range_of_the_source_or_the_reference()
    {
        DeviceDefinition large = Device with { RangeTo = Gauge(25m) };
        BenchDefinition open = Bench with { Ceiling = Gauge(30m) };

        Assert.Contains("above the range end of", Assert.Single(RunCheck.Check(open, large, Recipe, Workshop.Origins), error => error.Where == Workshop.Origins.Of(Recipe, "points_of_span.9")).Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_a_preload_above_the_ceiling_where_the_points_stay_below()
    {
        BenchDefinition low = Bench with { Ceiling = Gauge(14m) };
        Procedure half = Recipe with { PointsOfSpan = [0, 0.25, 0.5] };

        Assert.Equal(Workshop.Origins.Of(Recipe, "preloads"), Only(low, Device, half).Where);
        Assert.Empty(RunCheck.Check(low, Device, half with { Preloads = 0 }, Workshop.Origins));
    }

    [Fact]
    public void Rejects_a_point_below_the_floor()
    {
        DeviceDefinition compound = Device with { RangeFrom = Gauge(-0.5m) };

        Assert.Contains("below the floor set by the user, -0.3 bar gauge (benches/demo.toml:13)", Only(Bench, compound, Recipe).Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_a_transmitter_on_a_bench_without_a_multimeter()
    {
        ConfigurationError error = Only(Bench with { Multimeter = null }, Device, Recipe);

        Assert.Equal(Workshop.Origins.Of(Device, "output.kind"), error.Where);
    }

    [Fact]
    public void Rejects_a_digital_gauge_on_a_bench_without_its_line()
    {
        Assert.Contains("has no [device_line]", Only(Bench, Workshop.Devices["gauge-10bar"], Recipe).Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_a_current_output_where_the_multimeter_reads_no_current()
    {
        Barostep.Instruments.InstrumentDefinition meter = Bench.Multimeter!.Definition with
        {
            Exchanges = Bench.Multimeter.Definition.Exchanges
                .Where(exchange => exchange.Key != Barostep.Instruments.Capability.ReadCurrent)
                .ToDictionary(exchange => exchange.Key, exchange => exchange.Value),
        };

        Assert.Contains("text-multimeter cannot read the current", Only(Bench with { Multimeter = Bench.Multimeter with { Definition = meter } }, Device, Recipe).Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_an_absolute_device_on_a_gauge_bench_only_where_no_atmosphere_is_stated()
    {
        DeviceDefinition absolute = Device with
        {
            RangeFrom = Device.RangeFrom with { Value = 1m, Reference = PressureReference.Absolute },
            RangeTo = Device.RangeTo with { Reference = PressureReference.Absolute },
        };

        Assert.Empty(RunCheck.Check(Bench, absolute, Recipe, Workshop.Origins));
        Assert.Contains("is absolute and text-controller tells gauge pressure", Only(Bench with { AtmosphereStated = false }, absolute, Recipe).Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_a_rate_above_that_of_the_bench()
    {
        ConfigurationError error = Only(Bench, Device, Recipe with { RateOfSpanPerSecond = 0.05 });

        Assert.Equal("the rate is 0.8 bar/s for device transmitter-16bar", error.Found);
        Assert.Equal("write at most \"3.125 % of span/s\"", error.Instead);
    }

    [Fact]
    public void Rejects_a_settle_band_narrower_than_one_step_of_the_reference()
    {
        BenchDefinition coarse = Bench with { Reference = Bench.Reference with { ResolutionPascals = 1000 } };

        ConfigurationError error = Only(coarse, Device, Recipe);

        Assert.Equal("settle.band is 800 Pa for device transmitter-16bar", error.Found);
        Assert.Equal("write at least \"0.0625 % of span\"", error.Instead);
    }

    [Fact]
    [Trait("SR", "01")]
    public void The_limits_of_a_bench_come_tightest_first_with_their_origins()
    {
        IReadOnlyList<PressureLimit> limits = BenchLimits.Ceilings(Bench, Device, Workshop.Origins);

        Assert.Equal(
            [
                "ceiling set by the user benches/demo.toml:12",
                "range end of source instruments/text-controller.toml:9",
                "range end of reference instruments/fixed-indicator.toml:9",
                "rating of device transmitter-16bar devices/transmitter-16bar.toml:15",
                "rating of hose benches/demo.toml:41",
                "rating of manifold benches/demo.toml:46",
            ],
            limits.Select(limit => $"{limit.Name} {limit.Origin.FileAndLine}"));
        // 17 bar above the bench's atmosphere of 100 940 Pa.
        Assert.Equal(Pressure.FromPascals(1_800_940), limits[0].Absolute);
        Assert.Equal("floor set by the user", BenchLimits.Floors(Bench, Device, Workshop.Origins)[0].Name);
    }

    private static StatedPressure Gauge(decimal bar) => new(bar, PressureUnit.Bar, PressureReference.Gauge);

    private static ConfigurationError Only(BenchDefinition bench, DeviceDefinition device, Procedure procedure) =>
        Assert.Single(RunCheck.Check(bench, device, procedure, Workshop.Origins));
}
