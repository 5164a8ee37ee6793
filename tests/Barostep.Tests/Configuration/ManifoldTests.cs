using Barostep.Configuration;
using Barostep.Control;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Tests.Configuration;

/// <summary>Several devices on one manifold: where each is wired to, what limits them together, and what is refused.</summary>
public sealed class ManifoldTests
{
    private static readonly WorkshopConfiguration Workshop = ShippedConfiguration.Load().Configuration;
    private static readonly BenchDefinition Bench = Workshop.Benches["manifold"];
    private static readonly DeviceDefinition Gauge = Workshop.Devices["gauge-compound"];
    private static readonly DeviceDefinition Transmitter = Workshop.Devices["transmitter-6bar"];
    private static readonly DeviceDefinition Switch = Workshop.Devices["switch-3bar"];
    private static readonly Procedure Recipe = Workshop.Procedures["compound-manifold"];

    [Fact]
    public void Each_device_takes_the_first_free_input_that_reads_it()
    {
        BenchDefinition mounted = Mount(Gauge, Transmitter, Switch);

        Assert.Equal(
            [("gauge-compound", "gauge"), ("transmitter-6bar", "loop"), ("switch-3bar", "contact")],
            mounted.Mounted.Select(one => (one.Device.Name, one.Input.Name)));
    }

    [Fact]
    public void A_switch_never_leads_where_there_is_another_device() =>
        Assert.Equal(["transmitter-6bar", "switch-3bar"], Mount(Switch, Transmitter).Mounted.Select(one => one.Device.Name));

    [Fact]
    public void A_device_hangs_at_the_input_that_is_named_with_it()
    {
        BenchDefinition mounted = Mounting.Mount(Bench, [(Switch, "loop")], out IReadOnlyList<string> problems);

        Assert.Empty(problems);
        Assert.Equal("loop", mounted.InputOf(Switch)!.Name);
    }

    [Fact]
    public void Rejects_an_input_that_is_not_there_taken_twice_or_missing()
    {
        Assert.Equal("bench manifold has no input 'loup' for device transmitter-6bar; it has: loop, contact, gauge", Only((Transmitter, "loup")));
        Assert.Equal("the input 'loop' of bench manifold is named for two devices; each device has its own", Only((Transmitter, "loop"), (Switch, "loop")));
        Assert.StartsWith("device gauge-compound is named twice", Problems((Gauge, null), (Gauge, null))[0], StringComparison.Ordinal);
        DeviceDefinition second = Gauge with { Name = "gauge-2" };
        Assert.StartsWith("bench manifold has no free input that reads the digital of device gauge-2", Only((Gauge, null), (second, null)), StringComparison.Ordinal);
    }

    [Fact]
    public void Names_and_inputs_in_one_text_are_read_as_they_were_written()
    {
        string text = Mounting.Text(["gauge-compound", "transmitter-6bar@loop"]);

        Assert.Equal([("gauge-compound", null), ("transmitter-6bar", "loop")], Mounting.Named(text));
    }

    [Fact]
    [Trait("SR", "01")]
    public void The_lowest_rating_among_the_devices_is_the_ceiling_and_the_highest_floor_the_floor()
    {
        BenchDefinition mounted = Mount(
            Gauge with { Floor = new StatedPressure(-0.95m, PressureUnit.Bar, PressureReference.Gauge) },
            Transmitter,
            Switch with { Rating = new StatedPressure(6.4m, PressureUnit.Bar, PressureReference.Gauge) });
        DeviceDefinition leading = mounted.Mounted[0].Device;

        Assert.Equal("rating of device switch-3bar", BenchLimits.Ceilings(mounted, leading, Workshop.Origins)[0].Name);
        Assert.Equal("devices/switch-3bar.toml", BenchLimits.Ceilings(mounted, leading, Workshop.Origins)[0].Origin.FileAndLine.Split(':')[0]);
        Assert.Equal("floor of device gauge-compound", BenchLimits.Floors(mounted, leading, Workshop.Origins)[0].Name);
        SafetyLimits limits = BenchSafety.LimitsFor(mounted, leading, Workshop.Origins);
        Assert.Equal(6.4e5 + 100_940, limits.EffectiveCeiling.Pascals, 1);
        Assert.Equal(-0.95e5 + 100_940, limits.EffectiveFloor.Pascals, 1);
    }

    [Fact]
    public void A_bare_bench_is_limited_by_no_device() =>
        Assert.DoesNotContain(BenchLimits.Ceilings(Mount(Gauge, Switch), null, Workshop.Origins), limit => limit.Name.Contains("device", StringComparison.Ordinal));

    [Fact]
    public void Another_device_sees_the_same_pressures_as_shares_of_its_own_span()
    {
        Procedure seen = SharedSeries.Seen(Recipe, Gauge, Transmitter, BenchLimits.AtmosphereOf(Bench));

        // -0.9 and -0.45 bar are none of its points; 0, 1.5, 3, 4.5 and 6 bar of 6 bar are.
        Assert.Equal([0, 0.25, 0.5, 0.75, 1], seen.PointsOfSpan.Select(share => Math.Round(share, 9)));
        Assert.Equal(Recipe.Settle.BandOfSpan * Gauge.SpanPascals, seen.Settle.BandOfSpan * Transmitter.SpanPascals, 1e-6);
        Assert.Equal(Recipe.RateOfSpanPerSecond * Gauge.SpanPascals, seen.RateOfSpanPerSecond * Transmitter.SpanPascals, 1e-6);
    }

    [Fact]
    public void Accepts_the_shipped_devices_together() =>
        Assert.Empty(RunCheck.Check(Mount(Gauge, Transmitter, Switch), Gauge, Recipe, Workshop.Origins));

    [Fact]
    public void Rejects_a_switch_without_a_switch_test() =>
        Assert.Contains("has no [switch_test]", OnlyError(Mount(Gauge, Switch), Gauge, Recipe with { SwitchTest = null }), StringComparison.Ordinal);

    [Fact]
    public void Rejects_a_device_whose_range_has_fewer_than_two_of_the_points()
    {
        DeviceDefinition vacuum = Transmitter with { Name = "vacuum", RangeTo = new StatedPressure(0.5m, PressureUnit.Bar, PressureReference.Gauge) };

        Assert.Contains("1 of the points of procedure compound-manifold, laid out for gauge-compound, lie in the range of device vacuum",
            OnlyError(Mount(Gauge, vacuum), Gauge, Recipe), StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_a_ramp_beyond_the_limits()
    {
        SwitchContact high = Switch.Contact! with { SwitchesAt = new StatedPressure(5.9m, PressureUnit.Bar, PressureReference.Gauge) };
        Procedure wide = Recipe with { SwitchTest = Recipe.SwitchTest! with { MarginOfSpan = 0.2 } };

        Assert.Contains("a ramp of switch switch-3bar goes to 7.28 bar gauge, above 6.4 bar gauge",
            OnlyError(Mount(Gauge, Switch with { Contact = high }), Gauge, wide), StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_a_predicted_rest_for_several_devices()
    {
        Procedure rest = Recipe with { Settle = Recipe.Settle with { Rest = new Barostep.Procedures.Settling.PredictedRest(0.1) } };

        Assert.Contains("settle.rest_of_tolerance with 2 devices", OnlyError(Mount(Gauge, Transmitter), Gauge, rest), StringComparison.Ordinal);
        Assert.Empty(RunCheck.Check(Mount(Gauge), Gauge, rest, Workshop.Origins));
    }

    [Fact]
    public void A_procedure_of_ramps_alone_needs_a_switch()
    {
        Procedure ramps = Workshop.Procedures["switch-ramp"];

        Assert.Empty(RunCheck.Check(Mount(Switch), Switch, ramps, Workshop.Origins));
        Assert.Contains("0 of the points of procedure switch-ramp", OnlyError(Mount(Gauge), Gauge, ramps), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("switches_at = \"3 bar gauge\"", "switches_at = \"3 bar absolute\"", "a switch has one unit and one reference")]
    [InlineData("switches_at = \"3 bar gauge\"", "switches_at = \"7 bar gauge\"", "a switch changes within its range")]
    [InlineData("resets_at = \"2.6 bar gauge\"", "resets_at = \"3 bar gauge\"", "a switch has a deadband")]
    [InlineData("contact = \"closes\"", "contact = \"close\"", "output.contact = \"close\"")]
    [InlineData("threshold = \"100 ohm\"", "threshold = \"5 V\"", "threshold")]
    [InlineData("threshold = \"100 ohm\"", "", "threshold")]
    [InlineData("kind = \"contact\"", "kind = \"contact\"\nfrom = \"4 mA\"", "a contact is open or closed")]
    public void Rejects_a_switch_that_contradicts_itself(string from, string to, string told)
    {
        using ConfigurationFixture files = new ConfigurationFixture(ShippedConfiguration.Folder).Change("devices/switch-3bar.toml", from, to);

        Assert.Contains(told, files.OnlyError(), StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_two_inputs_on_one_port_without_channels_of_their_own()
    {
        using ConfigurationFixture files = new ConfigurationFixture(ShippedConfiguration.Folder).Change("benches/manifold.toml", "address = \"102\"", "address = \"101\"");

        Assert.Contains("port \"multimeter\" is taken by", files.OnlyError(), StringComparison.Ordinal);
    }

    private static BenchDefinition Mount(params DeviceDefinition[] devices)
    {
        BenchDefinition mounted = Mounting.Mount(Bench, [.. devices.Select(device => (device, (string?)null))], out IReadOnlyList<string> problems);
        Assert.Empty(problems);
        return mounted;
    }

    private static IReadOnlyList<string> Problems(params (DeviceDefinition, string?)[] devices)
    {
        Mounting.Mount(Bench, devices, out IReadOnlyList<string> problems);
        return problems;
    }

    private static string Only(params (DeviceDefinition, string?)[] devices) => Assert.Single(Problems(devices));

    private static string OnlyError(BenchDefinition bench, DeviceDefinition device, Procedure procedure) =>
        Assert.Single(RunCheck.Check(bench, device, procedure, Workshop.Origins)).Found;
}
