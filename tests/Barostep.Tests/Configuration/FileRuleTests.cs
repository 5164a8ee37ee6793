namespace Barostep.Tests.Configuration;

/// <summary>One planted fault each: found at its place, told with its rule and what to write instead.</summary>
public sealed class FileRuleTests
{
    private const string Bench = "benches/demo.toml";
    private const string Device = "devices/transmitter-16bar.toml";
    private const string Recipe = "procedures/eleven-point.toml";
    private const string Controller = "instruments/text-controller.toml";
    private const string Multimeter = "instruments/text-multimeter.toml";

    [Theory]
    // The shape of a file.
    [InlineData(Bench, "ceiling =", "cieling =", "unknown key cieling", "did you mean ceiling", 2)]
    [InlineData(Bench, "floor = \"-0.3", "floor_limit = \"-0.3", "unknown key floor_limit", "delete it", 2)]
    [InlineData(Bench, "period =", "floor = \"-0.2 bar gauge\"\nperiod =", "floor is written a second time (first on line 13)", "delete one of the two", 1)]
    [InlineData(Bench, "[part.manifold]", "[part.hose]", "[part.hose] is written a second time (first on line 40)", "put all its keys under the first one", 1)]
    [InlineData(Bench, "[part.manifold]", "[[part.manifold]]", "[[part.manifold]] begins a list of tables", "write [part.manifold.NAME] instead", 1)]
    [InlineData(Bench, "\"17 bar gauge\"", "17 bar gauge", "17 bar gauge has no quotation marks", "write \"17 bar gauge\"", 1)]
    [InlineData(Bench, "\"17 bar gauge\"", "17,5", "17,5 has a comma", "write 17.5, in quotation marks with its unit", 1)]
    [InlineData(Bench, "\"50 ms\"", "\"50 ms", "the text is not closed", "add the closing quotation mark", 1)]
    [InlineData(Bench, "[gas_path]", "[gas_path", "[gas_path is not closed", "write [gas_path]", 1)]
    [InlineData(Bench, "title =", "titel =", "title is missing", "write title = ", 2)]
    [InlineData(Bench, "critical_ratio = 0.35", "critical_ratio = 1.35", "gas_path.fill.critical_ratio = 1.35", "without quotation marks and unit", 1)]
    [InlineData(Bench, "critical_ratio = 0.35", "critical_ratio = \"0.35\"", "it is a number from 0 to 0.999", "without quotation marks and unit", 1)]
    [InlineData(Recipe, "descending = true", "descending = \"yes\"", "it is true or false", "write descending = true or descending = false", 1)]
    [InlineData(Recipe, "min_dwell =", "rest_of_tolerance = \"10 %\"\nmin_dwell =", "settle has both slope and rest_of_tolerance", "keep one of the two lines", 1)]
    [InlineData(Recipe, "samples = 10", "samples = 1", "it lies from 2 to 10000", "write a number from 2 to 10000", 1)]
    [InlineData(Recipe, "samples = 10", "samples = 10.5", "it is a whole number", "write a number from 2 to 10000", 1)]
    [InlineData(Recipe, "samples = 10", "samples = 1979-05-27", "it is a whole number", "write a number from 2 to 10000", 1)]
    [InlineData(Recipe, "action = \"again\"", "action = \"agian\"", "it is one of \"again\", \"flag\"", "did you mean action = \"again\"", 1)]
    [InlineData(Recipe, "title = \"Eleven points, up and down, two preloads\"", "title = \"\"", "it must not be empty", "write for example", 1)]
    [InlineData("barostep.toml", "port = 8750", "port = 87500", "it lies from 1 to 65535", "write a number from 1 to 65535", 1)]
    [InlineData("barostep.toml", "log_level = \"information\"", "log_level = \"info\"", "it is one of", "write one of these", 1)]
    // References to other files.
    [InlineData("barostep.toml", "[\"demo\", \"gauge\"]", "[\"demo\", \"guage\"]", "there is no benches/guage.toml", "did you mean \"gauge\"", 1)]
    [InlineData("barostep.toml", "[\"demo\", \"gauge\"]", "[\"demo\", \"demo\"]", "bench \"demo\" is listed twice", "delete one of the two", 1)]
    [InlineData("barostep.toml", "device = \"gauge-10bar\"", "device = \"gauge-10br\"", "there is no devices/gauge-10br.toml", "did you mean \"gauge-10bar\"", 1)]
    [InlineData(Bench, "\"fixed-indicator\"", "\"fixd-indicator\"", "there is no instruments/fixd-indicator.toml", "did you mean \"fixed-indicator\"", 1)]
    // Benches.
    [InlineData(Bench, "\"text-controller\"", "\"text-multimeter\"", "is of role \"multimeter\"", "name one whose file says role = \"controller\"", 1)]
    [InlineData(Bench, "port = \"reference\"", "port = \"controller\"", "port \"controller\" is taken by benches/demo.toml:54", "name the port that this instrument is wired to", 1)]
    [InlineData(Bench, "\"17 bar gauge\"", "\"21 bar gauge\"", "is above the range end of source, 20 bar gauge (instruments/text-controller.toml:9)", "write ceiling = \"20 bar gauge\" or less", 2)]
    [InlineData(Bench, "\"40 bar gauge\"", "\"16.5 bar gauge\"", "is above the rating of hose, 16.5 bar gauge (benches/demo.toml:41)", "write ceiling = \"16.5 bar gauge\" or less", 1)]
    [InlineData(Bench, "\"60 bar gauge\"", "\"60 bar absolute\"", "the upper limits of a bench are all gauge or all absolute", "write it gauge", 1)]
    [InlineData(Bench, "\"-0.3 bar gauge\"", "\"18 bar gauge\"", "floor = 18 bar gauge is not below ceiling", "exchange the two or correct one", 1)]
    [InlineData(Bench, "\"-0.3 bar gauge\"", "\"0 bar gauge\"", "floor = 0 bar gauge is not below the atmosphere", "write for example \"-0.2 bar gauge\"", 1)]
    [InlineData(Bench, "floor = \"-1 bar gauge\"", "floor = \"-0.1 bar gauge\"", "is below the floor of hose", "write floor = \"-0.1 bar gauge\" or more", 1)]
    [InlineData(Bench, "\"1009.4 hPa absolute\"", "\"1009.4 hPa gauge\"", "what gauge pressures count from is absolute itself", "write for example \"1013.25 hPa absolute\"", 1)]
    [InlineData(Bench, "\"1009.4 hPa absolute\"", "\"101.325 hPa absolute\"", "it lies from 500 hPa to 1100 hPa absolute", "read it from a barometer", 1)]
    [InlineData(Bench, "\"0.4 bar\"", "\"17 bar\"", "set_point_margin leaves nothing below the ceiling", "write about 2 % of the ceiling", 1)]
    [InlineData(Bench, "max_rate = \"5 bar/s\"", "max_rate = \"0.1 bar/s\"", "max_rate is above that of part hose (benches/demo.toml:43)", "write the smaller of the two", 1)]
    [InlineData(Bench, "\"50 ms\"", "\"100 ms\"", "it lies from 5 ms to 50 ms", "write for example", 1)]
    [InlineData(Bench, "instrument = \"fixed-indicator\"", "baud = 1200\ninstrument = \"fixed-indicator\"", "one reading of the reference takes 225 ms at 1200 baud", "raise the speed of the line", 1)]
    [InlineData(Bench, "\"nitrogen\"", "\"oxygen\"", "oxygen, flammable and poisonous gases are refused", "use nitrogen or dry air", 1)]
    [InlineData(Bench, "\"nitrogen\"", "\"Hydrogen\"", "oxygen, flammable and poisonous gases are refused", "use nitrogen or dry air", 1)]
    [InlineData(Bench, "\"nitrogen\"", "\"nitrogn\"", "the gas is one of nitrogen, air", "did you mean \"nitrogen\"", 1)]
    [InlineData(Bench, "\"140 mL\"", "\"1 L\"", "gas_path.volume_min is above gas_path.volume_max", "exchange the two or correct one", 1)]
    // Devices.
    [InlineData(Device, "range_to = \"16 bar gauge\"", "range_to = \"-16 bar gauge\"", "is not above range_from", "exchange the two or correct one", 1)]
    [InlineData(Device, "range_to = \"16 bar gauge\"", "range_to = \"16 bar absolute\"", "gauge and absolute are not mixed", "write both gauge", 1)]
    [InlineData(Device, "range_to = \"16 bar gauge\"", "range_to = \"1600 kPa gauge\"", "both range ends have one unit", "write range_to in bar", 1)]
    [InlineData(Device, "\"32 bar gauge\"", "\"32 bar absolute\"", "gauge and absolute are not mixed", "write the rating gauge", 1)]
    [InlineData(Device, "\"-1 bar gauge\"", "\"0.5 bar gauge\"", "floor = 0.5 bar gauge is above range_from", "take the lowest permissible pressure from its label", 2)]
    [InlineData(Device, "\"20 mA\"", "\"4 mA\"", "output.to equals output.from", "write for example \"20 mA\"", 1)]
    [InlineData("devices/gauge-10bar.toml", "kind = \"digital\"", "kind = \"digital\"\nfrom = \"4 mA\"", "a digital device tells its pressure itself", "delete it", 1)]
    // Procedures.
    [InlineData(Recipe, "\"20 %\", \"30 %\"", "\"30 %\", \"20 %\"", "points_of_span.3 is not above the point before it", "sort them and write each once", 1)]
    [InlineData(Recipe, "\"90 %\", \"100 %\"", "\"90 %\", \"110 %\"", "it lies from 0 % to 100 %", "write for example \"50 %\"", 1)]
    [InlineData(Recipe, "\"90 %\", \"100 %\"", "\"90 %\", 100", "points_of_span.10 = 100 is a bare number", "write \"100 %\"", 1)]
    [InlineData(Recipe, "\"180 s\"", "\"9 s\"", "settle.timeout is not longer than the window and the least dwell", "write a longer time-out", 1)]
    // Instruments.
    [InlineData(Controller, "[exchange.read_mode]", "[exchange.raed_mode]", "unknown exchange raed_mode", "did you mean [exchange.read_mode]", 1)]
    [InlineData(Controller, "[exchange.vent]", "[exchange.read_voltage]", "role = \"controller\" without [exchange.vent]", "add [exchange.vent]", 1)]
    [InlineData(Multimeter, "role = \"multimeter\"", "role = \"multimeter\"\nrange_to = \"1 bar gauge\"", "a multimeter tells no pressure", "delete it", 1)]
    [InlineData(Controller, "reply = \"VENT\"\ntimeout = \"300 ms\"", "reply = \"VENT\"\ntimeout = \"300 ms\"\nretries = 1", "exchange.vent.retries = 1", "delete it or write 0", 1)]
    [InlineData(Controller, "CONT = \"control\"", "CONT = \"regulate\"", "it is one of \"control\", \"hold\", \"vent\"", "write one of these", 2)]
    [InlineData(Controller, "HOLD = \"hold\"", "", "no mode word stands for hold", "add for example VENT = \"vent\"", 1)]
    [InlineData(Controller, "\"BAR,GAUG\" = \"bar gauge\"", "\"BAR,GAUG\" = \"bar\"", "followed by \"gauge\" or \"absolute\"", "write for example \"bar gauge\"", 1)]
    [InlineData(Controller, "maker = \"SIMULATED\"", "make = \"SIMULATED\"", "identity.expect.make is not a part of the identify reply", "name one of these", 1)]
    [InlineData(Controller, "terminator = \"\\n\"", "terminator = \"\"", "it is a text of 1 to 4 ASCII characters", "\"\\r\\n\"", 1)]
    [InlineData(Controller, "unit = \"bar\"\ntimeout", "unit = \"Bar\"\ntimeout", "units are case-sensitive", "did you mean \"bar\"", 1)]
    [InlineData(Controller, "unit = \"bar\"\ntimeout", "timeout", "exchange.write_rate.unit is missing", "write unit = \"bar\"", 1)]
    [InlineData(Controller, "unit = \"bar\"\ntimeout", "unit = \"bar\"\nreference = \"gauge\"\ntimeout", "a rate is neither gauge nor absolute", "delete it", 1)]
    [InlineData(Multimeter, "reply = \"{value:number}\"\n", "reply = \"{value:number}\"\nunit = \"bar\"\n", "no pressure travels in this exchange", "delete it", 1)]
    [InlineData(Multimeter, "reply = \"{value:number}\"\n", "", "exchange.read_current.reply is missing", "write reply = ", 1)]
    [InlineData(Multimeter, "parity = \"none\"", "parity = \"mark\"", "it is one of \"none\", \"odd\", \"even\"", "write one of these", 1)]
    [Trait("SR", "01, 14, 48")]
    public void Rejects_a_planted_fault(string file, string from, string to, string found, string instead, int errors)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change(file, from, to);

        IReadOnlyList<string> told = files.Errors();

        string[] matching = [.. told.Where(one => one.Contains(found, StringComparison.Ordinal))];
        Assert.True(matching.Length == 1, string.Join('\n', told));
        string error = matching[0];
        Assert.StartsWith(file + ":", error, StringComparison.Ordinal);
        Assert.Contains(instead, error, StringComparison.Ordinal);
        Assert.True(told.Count == errors, string.Join('\n', told));
    }

    [Theory]
    [InlineData(Bench, "set_point_margin = \"0.4 bar\"\n", "")]
    [InlineData(Bench, "\"nitrogen\"", "\"helium\"")]
    [InlineData(Bench, "floor = \"-1 bar gauge\"", "floor = \"0 bar absolute\"")]
    [InlineData(Bench, "port = \"reference\"", "port = \"/dev/serial/by-id/usb-adapter-0\"")]
    [InlineData(Bench, "port = \"reference\"", "port = \"tcp://192.0.2.7:4001\"\nbaud = 19200")]
    [InlineData(Device, "tag = \"PT-4711\"\n", "")]
    [InlineData("barostep.toml", "log_level = \"information\"", "")]
    public void Accepts_what_the_rules_allow(string file, string from, string to)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change(file, from, to);

        Assert.Empty(files.Errors());
    }

    [Fact]
    public void Rejects_one_device_path_on_two_benches()
    {
        using ConfigurationFixture files = new ConfigurationFixture()
            .Change(Bench, "port = \"reference\"", "port = \"/dev/ttyUSB0\"")
            .Change("benches/gauge.toml", "port = \"gauge\"", "port = \"/dev/ttyUSB0\"");

        string error = files.OnlyError();

        Assert.StartsWith(files.PlaceOf("benches/gauge.toml", "\"/dev/ttyUSB0\""), error, StringComparison.Ordinal);
        Assert.Contains("is taken by benches/demo.toml:", error, StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_gauge_limits_beside_an_absolute_reference_without_an_atmosphere()
    {
        using ConfigurationFixture files = new ConfigurationFixture()
            .Change(Bench, "atmosphere = \"1009.4 hPa absolute\"\n", string.Empty)
            .Change("instruments/fixed-indicator.toml", "\"-1 bar gauge\"", "\"0 bar absolute\"")
            .Change("instruments/fixed-indicator.toml", "\"20 bar gauge\"", "\"21 bar absolute\"");

        string error = files.OnlyError();

        Assert.StartsWith(files.PlaceOf(Bench, "\"fixed-indicator\""), error, StringComparison.Ordinal);
        Assert.Contains("gauge and absolute are compared only through a stated atmosphere", error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_definition_with_an_error_is_left_out_and_so_is_the_bench_that_uses_it()
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change(Controller, "retries = 2", "retires = 2");

        Barostep.Configuration.WorkshopConfiguration usable = files.Load().Configuration;

        Assert.DoesNotContain("text-controller", usable.Instruments.Keys);
        Assert.Empty(usable.Benches);
        Assert.Equal(2, usable.Devices.Count);
    }

    [Fact]
    public void Rejects_a_folder_that_is_not_there()
    {
        IReadOnlyList<Barostep.Configuration.ConfigurationError> errors =
            Barostep.Configuration.ConfigurationDirectory.Load("/nowhere/at-all").Errors;

        Assert.Equal("barostep.toml: there is no such file; it must be there; write it, or name another folder than /nowhere/at-all", Assert.Single(errors).ToString());
    }

    [Fact]
    public void Rejects_a_file_that_is_not_text()
    {
        using var files = new ConfigurationFixture();
        File.WriteAllBytes(Path.Combine(files.Folder, Recipe), [0x74, 0xFF, 0xFE]);

        Assert.Equal($"{Recipe}: the file is not UTF-8 text; configuration files are UTF-8; save it with that encoding", files.OnlyError());
    }
}
