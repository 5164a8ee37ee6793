using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Tests.Instruments;

public sealed class ModbusTests
{
    private const string Line = """
        [line]
        baud = 19200
        data_bits = 8
        parity = "even"
        stop_bits = 1

        """;

    [Theory]
    // Frames of pymodbus, test/framer/test_framer.py: read holding registers from address 0 and 17.
    [InlineData(1, "read holding", 124, "{value:uint32}", "", "010300 7C0002")]
    [InlineData(17, "read holding", 124, "{value:uint32}", "11030400 8D008E FBBD", "1103007C00020743")]
    // The same file: an input register at address 254 would be beyond 247, so the check stands for itself below.
    [InlineData(17, "read input", 8, "{value:uint16}", "", "110400080001")]
    public void A_read_is_framed_as_published(int address, string function, int register, string reply, string answer, string request)
    {
        var bench = new ByteBench(_ => answer.Length == 0 ? null : Bytes(answer), Talker(address, function, register, reply));
        bench.Driver.Poll(Capability.ReadPressure, 1_000_000);
        bench.RunTo(10_000);

        Assert.StartsWith(Convert.ToHexString(Bytes(request)), Assert.Single(bench.Line.SentHex), StringComparison.Ordinal);
    }

    [Theory]
    // Check values: "123456789" and 02 07 from memory (CRC catalogue, MODBUS over Serial Line V1.02), the others from
    // pymodbus, test/framer/test_framer.py.
    [InlineData("313233343536373839", 0x4B37)]
    [InlineData("0207", 0x1241)]
    [InlineData("1234234534564567", 0xDBE2)]
    [InlineData("0003007C0002", 0x0204)]
    [InlineData("1103007C0002", 0x4307)]
    [InlineData("118302", 0x34C1)]
    [InlineData("FE0400030001", 0xC5D5)]
    public void The_simulated_server_computes_the_published_checks(string bytes, int check) =>
        Assert.Equal(check, Barostep.Simulators.Instruments.RegisterDialect.Check(Bytes(bytes)));

    [Fact]
    public void A_reply_is_read_with_its_check_and_its_words_in_order()
    {
        // 11 03 04 00 8D 00 8E FB BD, of pymodbus, test/framer/test_framer.py: the registers hold 141 and 142.
        foreach ((string form, decimal value) in new[] { ("uint32", 9240718m), ("uint32:cdab", 9306253m), ("int32:0.001", 9240.718m) })
        {
            var bench = new ByteBench(_ => Bytes("110304008D008EFBBD"), Talker(17, "read holding", 124, $"{{value:{form}}}"));
            bench.Driver.Poll(Capability.ReadPressure, 1_000_000);
            bench.RunTo(10_000);

            Assert.Equal((ExchangeOutcome.Answered, value), (bench.Only(Capability.ReadPressure).Outcome, bench.Reports[0].Value));
        }
    }

    [Theory]
    // IEEE 754 single precision, by hand: 12.5 is sign 0, exponent 130, fraction 0.5625: 41 48 00 00.
    [InlineData("float32", "41480000", "12.5")]
    [InlineData("float32:cdab", "00004148", "12.5")]
    [InlineData("float32:badc", "48410000", "12.5")]
    [InlineData("float32:dcba", "00004841", "12.5")]
    [InlineData("int16:0.01", "FFFE0000", "-0.02")]
    [InlineData("int16:ba", "FEFF0000", "-2")]
    [InlineData("uint16", "FFFE0000", "65534")]
    [InlineData("int32", "FFFFFFFF", "-1")]
    [InlineData("uint32", "FFFFFFFF", "4294967295")]
    public void A_number_as_whole_bytes_is_what_its_form_says(string form, string bytes, string value)
    {
        string pattern = form.StartsWith("int16", StringComparison.Ordinal) || form == "uint16" ? $"{{value:{form}}}{{0:uint16}}" : $"{{value:{form}}}";
        Assert.True(ReplyPattern.TryParse(pattern, out ReplyPattern reply, out string error), error);
        ReplyValues values = default;

        Assert.Equal(ReplyMatch.Matched, reply.Match(Bytes(bytes), ref values));
        Assert.Equal(decimal.Parse(value, System.Globalization.CultureInfo.InvariantCulture), values.Number(0));
        Assert.True(RequestTemplate.TryParse(pattern, out RequestTemplate request, out error), error);
        byte[] room = new byte[4];
        Assert.True(request.TryWrite(values.Number(0), room, out int written, out decimal told));
        Assert.Equal((4, values.Number(0), Convert.ToHexString(Bytes(bytes))), (written, told, Convert.ToHexString(room)));
    }

    [Theory]
    [InlineData("7FC00000")]
    [InlineData("7F800000")]
    [InlineData("FF800000")]
    public void A_float_that_is_no_number_is_over_range(string bytes)
    {
        Assert.True(ReplyPattern.TryParse("{value:float32}", out ReplyPattern reply, out _));
        ReplyValues values = default;

        Assert.Equal(ReplyMatch.OverRange, reply.Match(Bytes(bytes), ref values));
    }

    [Fact]
    public void A_number_that_a_register_cannot_hold_is_not_sent()
    {
        Assert.True(RequestTemplate.TryParse("{value:int16:0.001}", out RequestTemplate request, out _));

        Assert.False(request.TryWrite(32.768m, new byte[4], out _, out _));
        Assert.True(request.TryWrite(-32.768m, new byte[4], out _, out decimal told));
        Assert.Equal(-32.768m, told);
    }

    [Theory]
    // The function, the number of bytes, the check, another address, an exception (pymodbus: 11 83 02 C1 34), half a frame.
    [InlineData("110404008D008E6B8A")]
    [InlineData("110302008DF822")]
    [InlineData("110304008D008EFBBE")]
    [InlineData("120304008D008EC8BD")]
    [InlineData("118302C134")]
    [InlineData("110304008D")]
    public void Anything_but_the_answer_to_the_open_question_is_no_reading(string reply)
    {
        var bench = new ByteBench(_ => Bytes(reply), Talker(17, "read holding", 124, "{value:uint32}"));
        bench.Driver.Poll(Capability.ReadPressure, 10_000_000);
        bench.RunTo(1_000_000);

        Assert.Contains(bench.Only(Capability.ReadPressure).Outcome, new[] { ExchangeOutcome.Garbled, ExchangeOutcome.TimedOut });
    }

    [Fact]
    public void A_write_counts_when_the_registers_that_were_meant_are_confirmed()
    {
        InstrumentDefinition controller = Controller();
        var bench = new ByteBench(request => request[1] == 6 ? request : Crc([.. request[..6]]), controller);
        bench.Driver.Command(Capability.WriteSetPoint, 12.5m, CommandUrgency.Normal, 1);
        bench.Driver.Command(Capability.Control, 0, CommandUrgency.Normal, 2);
        bench.RunTo(1_000_000);

        Assert.Equal((ExchangeOutcome.Answered, 12.5m), (bench.Only(Capability.WriteSetPoint).Outcome, bench.Only(Capability.WriteSetPoint).Value));
        Assert.Equal(ExchangeOutcome.Answered, bench.Only(Capability.Control).Outcome);
        // Application protocol specification V1.1b3, 6.6 and 6.12 (from memory): address, number, bytes, values.
        Assert.StartsWith("0110001000020441480000", bench.Line.SentHex.First(), StringComparison.Ordinal);
        Assert.StartsWith("010600160002", bench.Line.SentHex.Last(), StringComparison.Ordinal);
    }

    [Fact]
    public void A_write_that_names_other_registers_is_not_confirmed()
    {
        var bench = new ByteBench(request => Crc([request[0], request[1], 0, 99, request[4], request[5]]), Controller());
        bench.Driver.Command(Capability.WriteSetPoint, 12.5m, CommandUrgency.Normal, 1);
        bench.RunTo(1_000_000);

        Assert.Equal(ExchangeOutcome.Garbled, bench.Only(Capability.WriteSetPoint).Outcome);
    }

    [Fact]
    public void Over_tcp_a_late_reply_of_an_older_transaction_is_no_reading()
    {
        byte transaction = 0;
        var bench = new ByteBench(
            request =>
            {
                transaction = request[1];
                return [0, (byte)(transaction - 1), 0, 0, 0, 7, 9, 3, 4, 0x41, 0x48, 0, 0];
            },
            Talker(9, "read holding", 0, "{value:float32}", "transport = \"tcp\""));
        bench.Driver.Poll(Capability.ReadPressure, 100_000);
        bench.RunTo(150_000);
        Assert.All(bench.Of(Capability.ReadPressure), report => Assert.Equal(ExchangeOutcome.Garbled, report.Outcome));

        bench.Line.Answer = request => [request[0], request[1], 0, 0, 0, 7, 9, 3, 4, 0x41, 0x48, 0, 0];
        bench.RunTo(600_000);
        Assert.Equal((ExchangeOutcome.Answered, 12.5m), (bench.Reports[^1].Outcome, bench.Reports[^1].Value));
        // MODBUS Messaging on TCP/IP V1.0b (from memory): transaction, protocol 0, length, unit, then the function.
        Assert.Equal("000100000006090300000002", bench.Line.SentHex.First());
    }

    [Theory]
    [InlineData(9_600, 11, 4_011)]
    [InlineData(19_200, 11, 2_006)]
    [InlineData(115_200, 11, 1_750)]
    public void Frames_keep_the_silence_that_the_speed_asks_for(int baud, int bits, long gapMicros)
    {
        // 3.5 characters, 1.75 ms above 19200 baud: MODBUS over Serial Line V1.02, 2.5.1.1 (from memory).
        Assert.Equal(gapMicros, baud > 19_200 ? 1_750 : (long)Math.Ceiling(3.5e6 * bits / baud));
        InstrumentDefinition talker = Talker(17, "read holding", 124, "{value:uint32}");
        var bench = new ByteBench(_ => Bytes("110304008D008EFBBD"), talker with { Line = talker.Line with { Baud = baud } });
        bench.Driver.Poll(Capability.ReadPressure, 1);
        bench.RunTo(200_000);

        long[] sent = [.. bench.Line.Sent.Select(sent => sent.AtMicros)];
        Assert.True(sent.Length > 10);
        // The reply comes 5 ms after the request in this line.
        Assert.All(sent.Zip(sent[1..]), pair => Assert.Equal(5_000 + gapMicros, pair.Second - pair.First));
    }

    private static InstrumentDefinition Talker(int address, string function, int register, string reply, string transport = "transport = \"rtu\"") =>
        Known(Definitions.Read($$"""
            title = "Registers"
            role = "indicator"
            range_to = "100 bar gauge"
            identity = { expect = { model = "PG" } }

            [modbus]
            {{transport}}
            address = {{address}}

            {{Line}}
            [exchange.identify]
            function = "read holding"
            register = 0
            reply = "{model:text:2}"
            timeout = "100 ms"

            [exchange.read_pressure]
            function = "{{function}}"
            register = {{register}}
            reply = "{{reply}}"
            unit = "bar"
            reference = "gauge"
            timeout = "100 ms"
            """));

    private static InstrumentDefinition Controller() => Known(Definitions.Read($$"""
        title = "Registers"
        role = "controller"
        range_to = "100 bar gauge"
        identity = { expect = { model = "PG" } }
        modbus = { transport = "rtu", address = 1 }

        {{Line}}
        [exchange]
        identify = { function = "read holding", register = 0, reply = "{model:text:2}", timeout = "100 ms" }
        read_pressure = { function = "read input", register = 0, reply = "{value:float32}", unit = "bar", reference = "gauge", timeout = "100 ms" }
        write_set_point = { function = "write several", register = 16, request = "{value:float32}", unit = "bar", reference = "gauge", timeout = "100 ms" }
        control = { function = "write one", register = 22, request = "{2:uint16}", timeout = "100 ms" }
        vent = { function = "write one", register = 22, request = "{0:uint16}", timeout = "100 ms" }
        """));

    /// <summary>Without the question who it is, so that the first message is the one that is meant.</summary>
    private static InstrumentDefinition Known(InstrumentDefinition definition) => definition with
    {
        Exchanges = definition.Exchanges.Where(pair => pair.Key != Capability.Identify).ToDictionary(pair => pair.Key, pair => pair.Value),
    };

    private static byte[] Bytes(string hex) => Convert.FromHexString(hex.Replace(" ", string.Empty, StringComparison.Ordinal));

    private static byte[] Crc(byte[] body)
    {
        ushort check = Barostep.Simulators.Instruments.RegisterDialect.Check(body);
        return [.. body, (byte)check, (byte)(check >> 8)];
    }
}
