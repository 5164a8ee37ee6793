using System.Text;
using Barostep.Instruments;

namespace Barostep.Tests.Instruments;

public sealed class StreamTests
{
    private const string Talker = """
        title = "Talks without being asked"
        role = "indicator"
        range_to = "100 bar gauge"

        [line]
        baud = 9600
        data_bits = 7
        parity = "even"
        stop_bits = 2

        [framing]
        terminator = "\r\n"
        maximum_reply = 20
        silence = "20 ms"

        [exchange.read_pressure]
        unasked = true
        reply = "P {value:number} bar"
        unit = "bar"
        reference = "gauge"
        timeout = "500 ms"

        """;

    private const string AsksAsWell = """

        [identity]
        expect = { model = "PG" }

        [exchange.identify]
        request = "ID"
        reply = "I {model:word} {serial:word}"
        timeout = "200 ms"

        """;

    [Fact]
    public void What_is_told_unasked_is_reported_and_nothing_is_sent()
    {
        var bench = new ByteBench(_ => null, Definitions.Read(Talker));
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        Tell(bench, (100_000, "P 1.0 bar\r\n"), (200_000, "P 1.1 bar\r\n"), (300_000, "P 1.2 bar\r\nP 1.3 bar\r\n"));
        bench.RunTo(400_000);

        Assert.Empty(bench.Line.Sent);
        // The first is dropped: its beginning may be missing.
        Assert.Equal([1.1m, 1.2m, 1.3m], bench.Of(Capability.ReadPressure).Select(report => report.Value));
        // A reading is no older than the message before it; of two that came at once, both may be that old.
        Assert.Equal([100_000L, 200_000, 200_000], bench.Of(Capability.ReadPressure).Select(report => report.AskedMicros));
        Assert.Equal(LinkState.Ready, bench.Driver.State);
    }

    [Fact]
    public void The_rest_of_a_torn_message_is_no_reading()
    {
        InstrumentDefinition bare = Definitions.Read(Talker.Replace("P {value:number} bar", "{value:number}", StringComparison.Ordinal));
        var bench = new ByteBench(_ => null, bare);
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        Tell(bench, (10_000, "2.75\r\n"), (110_000, "12.75\r\n"), (210_000, new string('9', 30)), (220_000, "3.5\r\n"), (310_000, "12.80\r\n"));
        bench.RunTo(400_000);

        Assert.Equal([12.75m, 12.80m], bench.Of(Capability.ReadPressure).Select(report => report.Value));
        Assert.Equal(1, bench.Driver.Garbage);
    }

    [Fact]
    public void A_stream_that_stops_is_missed_and_found_again()
    {
        var bench = new ByteBench(_ => null, Definitions.Read(Talker));
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        Tell(bench, (100_000, "P 1.0 bar\r\n"), (200_000, "P 1.1 bar\r\n"));
        bench.RunTo(1_300_000);

        Assert.Equal([ExchangeOutcome.Answered, ExchangeOutcome.TimedOut, ExchangeOutcome.TimedOut], bench.Of(Capability.ReadPressure).Select(report => report.Outcome));
        Assert.Equal(LinkState.Lost, bench.Driver.State);

        Tell(bench, (1_400_000, "P 1.4 bar\r\n"));
        bench.RunTo(1_450_000);
        Assert.Equal((LinkState.Ready, 1.4m), (bench.Driver.State, bench.Reports[^1].Value));
    }

    [Fact]
    public void It_says_who_it_is_between_two_readings_before_any_counts()
    {
        var bench = new ByteBench(_ => Encoding.ASCII.GetBytes("I PG 0815\r\n"), Definitions.Read(Talker + AsksAsWell));
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        bench.Line.Answer = _ => null;
        Tell(bench, (50_000, "bar\r\nP 1.0"), (60_000, " bar\r\nI PG 0815\r\nP 1.1 bar\r\n"), (110_000, "P 1.2 bar\r\n"));
        bench.RunTo(150_000);

        Assert.True(bench.Driver.IsVerified);
        Assert.Equal("I PG 0815", bench.Driver.IdentityText);
        Assert.Equal([1.1m, 1.2m], bench.Of(Capability.ReadPressure).Select(report => report.Value));
        Assert.Equal(0, bench.Driver.Garbage);
    }

    [Fact]
    public void Another_instrument_that_talks_is_not_believed()
    {
        var bench = new ByteBench(_ => Encoding.ASCII.GetBytes("x\r\nI OTHER 1\r\n"), Definitions.Read(Talker + AsksAsWell));
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        Tell(bench, (50_000, "P 1.0 bar\r\n"), (60_000, "P 1.1 bar\r\n"), (110_000, "P 1.2 bar\r\n"));
        bench.RunTo(150_000);

        Assert.Equal(LinkState.WrongInstrument, bench.Driver.State);
        Assert.Empty(bench.Of(Capability.ReadPressure));
    }

    [Fact]
    public void An_echo_is_taken_off_and_anything_else_in_its_place_is_garbage()
    {
        string definition = Talker.Replace("unasked = true", "request = \"?\"", StringComparison.Ordinal)
            .Replace("silence = \"20 ms\"", "silence = \"20 ms\"\necho = true", StringComparison.Ordinal) + AsksAsWell;
        var bench = new ByteBench(Echoing, Definitions.Read(definition));
        bench.Driver.Poll(Capability.ReadPressure, 100_000);
        bench.RunTo(350_000);
        Assert.Equal([2.5m, 2.5m, 2.5m, 2.5m], bench.Of(Capability.ReadPressure).Select(report => report.Value));
        Assert.Equal("P 2.5 bar", bench.Reports[^1].Reply.ToString());

        // An instrument whose echo was switched off answers at once.
        bench.Reports.Clear();
        bench.Line.Answer = request => Encoding.ASCII.GetBytes(Reply(Encoding.ASCII.GetString(request)));
        bench.RunTo(500_000);
        Assert.All(bench.Of(Capability.ReadPressure), report => Assert.Equal(ExchangeOutcome.Garbled, report.Outcome));
        Assert.NotEmpty(bench.Of(Capability.ReadPressure));

        static byte[] Echoing(byte[] request) => [.. request, .. Encoding.ASCII.GetBytes(Reply(Encoding.ASCII.GetString(request)))];
        static string Reply(string request) => request == "ID\r\n" ? "I PG 0815\r\n" : "P 2.5 bar\r\n";
    }

    [Theory]
    [InlineData("unasked = true", "unasked = true\nrequest = \"?\"", "what is told unasked is not asked for")]
    [InlineData("timeout = \"500 ms\"", "timeout = \"500 ms\"\nretries = 1", "what is told unasked is not asked for again")]
    [InlineData("silence = \"20 ms\"", "silence = \"20 ms\"\necho = true", "the two could not be told apart")]
    [InlineData("unasked = true", "request = \"?\"", "[identity] and its keys")]
    public void A_stream_that_cannot_be_is_refused(string from, string to, string rule) =>
        Assert.Contains(Definitions.Errors(Talker.Replace(from, to, StringComparison.Ordinal)), error => error.Contains(rule, StringComparison.Ordinal));

    private static void Tell(ByteBench bench, params (long AtMicros, string Text)[] told)
    {
        foreach ((long at, string text) in told)
            bench.Line.Arrive(at, Encoding.ASCII.GetBytes(text));
    }
}
