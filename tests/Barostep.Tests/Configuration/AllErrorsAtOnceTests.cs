using Barostep.Configuration;

namespace Barostep.Tests.Configuration;

public sealed class AllErrorsAtOnceTests
{
    [Fact]
    public void Eight_planted_errors_are_all_listed_with_line_and_column()
    {
        using var files = new ConfigurationFixture();
        string[] expected =
        [
            // Wrong unit.
            files.Change("benches/gauge.toml", "\"5 bar/s\"", "\"5 Bar/s\"").LastChange,
            // Gauge and absolute mixed.
            files.Change("benches/demo.toml", "\"60 bar gauge\"", "\"60 bar absolute\"").LastChange,
            // Unknown key.
            files.Change("benches/demo.toml", "set_point_margin", "setpoint_margin").LastChange,
            // Duplicate port.
            files.Change("benches/demo.toml", "\"multimeter\"", "\"reference\"").LastChange,
            // A procedure point above the ceiling.
            files.Change("benches/demo.toml", "\"17 bar gauge\"", "\"14 bar gauge\"").PlaceOf("procedures/eleven-point.toml", "\"90 %\""),
            // A device's rating below a point.
            files.Change("devices/transmitter-16bar.toml", "\"32 bar gauge\"", "\"15 bar gauge\"").PlaceOf("procedures/eleven-point.toml", "\"100 %\""),
            // A file that is not there.
            files.Change("barostep.toml", "procedure = \"five-point\"", "procedure = \"nine-point\"").PlaceOf("barostep.toml", "\"nine-point\""),
            // A bare number.
            files.Change("procedures/five-point.toml", "\"10 s\"", "10").LastChange,
        ];

        IReadOnlyList<ConfigurationError> errors = files.Load().Errors;

        string[] places = [.. errors.Select(error => error.Where.ToString())];
        Assert.All(expected, place => Assert.Contains(place, places));
        // The rating that is too low shows a second time, at its own place: it is below the device's range as well.
        Assert.Equal(files.PlaceOf("devices/transmitter-16bar.toml", "\"15 bar gauge\""), Assert.Single(places.Except(expected)));
        Assert.Equal(places.Order(StringComparer.Ordinal).Select(FileOf), places.Select(FileOf));
    }

    [Fact]
    public void The_eight_messages_read_as_written_here()
    {
        using ConfigurationFixture files = new ConfigurationFixture()
            .Change("benches/gauge.toml", "\"5 bar/s\"", "\"5 Bar/s\"")
            .Change("benches/demo.toml", "\"60 bar gauge\"", "\"60 bar absolute\"")
            .Change("benches/demo.toml", "set_point_margin", "setpoint_margin")
            .Change("benches/demo.toml", "\"multimeter\"", "\"reference\"")
            .Change("benches/demo.toml", "\"17 bar gauge\"", "\"14 bar gauge\"")
            .Change("devices/transmitter-16bar.toml", "\"32 bar gauge\"", "\"15 bar gauge\"")
            .Change("barostep.toml", "procedure = \"five-point\"", "procedure = \"nine-point\"")
            .Change("procedures/five-point.toml", "\"10 s\"", "10");

        Assert.Equal(
            """
            barostep.toml:28:13: run.pump-room-gauge.procedure names "nine-point"; there is no procedures/nine-point.toml; did you mean "five-point"
            benches/demo.toml:17:1: unknown key setpoint_margin; this file takes …; did you mean set_point_margin
            benches/demo.toml:46:10: part.manifold.rating = 60 bar absolute beside ceiling = 14 bar gauge; the upper limits of a bench are all gauge or all absolute; write it gauge
            benches/demo.toml:69:8: port "reference" is taken by benches/demo.toml:61; one port has one instrument, on all benches together; name the port that this instrument is wired to
            benches/gauge.toml:24:12: part.hose.max_rate = "5 Bar/s"; "Bar/s" is not a unit of rate of change; units are case-sensitive; did you mean bar/s: write "5 bar/s"
            devices/transmitter-16bar.toml:15:10: rating = 15 bar gauge is below range_to = 16 bar gauge; a device stands its own range; take the highest permissible pressure from its label
            procedures/eleven-point.toml:6:90: the point 90 % of device transmitter-16bar is 14.4 bar gauge on bench demo, above the ceiling set by the user, 14 bar gauge (benches/demo.toml:12); no set point passes any limit; leave it out, or use another device or bench; never raise a limit for a point
            procedures/eleven-point.toml:6:98: the point 100 % of device transmitter-16bar is 16 bar gauge on bench demo, above its rating, 15 bar gauge (devices/transmitter-16bar.toml:15); no set point passes any limit; leave it out, or use another device or bench; never raise a limit for a point
            procedures/five-point.toml:9:16: preload_hold = 10 is a bare number; a time is written as text with its unit; write "10 s" if that is the unit meant
            """,
            // Which keys there are is not what this is about.
            System.Text.RegularExpressions.Regex.Replace(string.Join('\n', files.Errors()), "this file takes [^;]*", "this file takes …"));
    }

    [Fact]
    public void The_message_format_is_place_found_rule_instead()
    {
        var error = new ConfigurationError(
            new SourcePosition("benches/demo.toml", 12, 11), "ceiling = 17 is a bare number", "a pressure has a unit", "write \"17 bar gauge\"");

        Assert.Equal("benches/demo.toml:12:11: ceiling = 17 is a bare number; a pressure has a unit; write \"17 bar gauge\"", error.ToString());
        Assert.Equal("benches/demo.toml:12", error.Where.FileAndLine);
    }

    private static string FileOf(string place) => place.Split(':')[0];
}
