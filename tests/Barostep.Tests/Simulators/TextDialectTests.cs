using Barostep.Simulators;

namespace Barostep.Tests.Simulators;

public class TextDialectTests
{
    private readonly SimulatedBench _bench = DemoBench.Load(1);
    private readonly Host _controller;

    public TextDialectTests()
    {
        _bench.AdvanceTo(100_000);
        _controller = new Host(_bench, "controller");
    }

    [Theory]
    [InlineData("*IDN?", "SIMULATED,CONTROLLER,SC-01042,1.0")]
    [InlineData("*idn?\r", "SIMULATED,CONTROLLER,SC-01042,1.0")]
    [InlineData("SYST:VERS?", "1999.0")]
    [InlineData("SYSTem:VERSion?", "1999.0")]
    [InlineData(":syst:version?", "1999.0")]
    [InlineData("SOUR:MODE?", "VENT")]
    [InlineData("SOUR:PRES:LIM?", "2.000000E+01,BAR,GAUG")]
    [InlineData("SOUR:PRES:RATE?", "1.000000E+00,BAR")]
    [InlineData("*TST?;*OPC?", "0;1")]
    // A header after a semicolon goes on at the level of the one before it; a common command does not move the level.
    [InlineData("SOUR:PRES:TARG 12.5;TARG?", "1.250000E+01,BAR,GAUG")]
    [InlineData("SOUR:PRES:TARG 3;*OPC?;TARG?", "1;3.000000E+00,BAR,GAUG")]
    [InlineData("SOUR:PRES:TARG 3;:SOUR:PRES:TARG?", "3.000000E+00,BAR,GAUG")]
    [InlineData("SOUR:MODE HOLD;MODE?", "HOLD")]
    [InlineData("SOUR:MODE CONTROL;MODE?", "CONT")]
    [InlineData("UNIT:PRES KPAL;PRES?", "KPAL")]
    [InlineData("SOUR:PRES:TARG 100 KPAL;TARG?", "1.000000E+00,BAR,GAUG")]
    [InlineData("SOUR:PRES:TARG 100KPAL;TARG?", "1.000000E+00,BAR,GAUG")]
    [InlineData("SOUR:PRES:TARG 0.1 MAPAL;TARG?", "1.000000E+00,BAR,GAUG")]
    [InlineData("SOUR:PRES:TARG 1.5E0;TARG?", "1.500000E+00,BAR,GAUG")]
    public void Answers_by_the_grammar(string request, string reply) => Assert.Equal(reply, _controller.Ask(request));

    [Theory]
    // Error numbers by SCPI-1999.
    [InlineData("FOO:BAR?", "-113,\"Undefined header\"")]
    [InlineData("SOURC:MODE?", "-113,\"Undefined header\"")] // neither the short nor the long form
    [InlineData("SOUR:PRES:TARG", "-109,\"Missing parameter\"")]
    [InlineData("SOUR:PRES:TARG 1,2", "-108,\"Parameter not allowed\"")]
    [InlineData("SOUR:PRES:TARG ABC", "-104,\"Data type error\"")]
    [InlineData("SOUR:PRES:TARG 1 VOLT", "-131,\"Invalid suffix\"")]
    [InlineData("SOUR:PRES:TARG 20.1", "-222,\"Data out of range\"")]
    [InlineData("SOUR:PRES:TARG -2", "-222,\"Data out of range\"")]
    [InlineData("SOUR:PRES:RATE 0", "-222,\"Data out of range\"")]
    [InlineData("SOUR:MODE FLY", "-224,\"Illegal parameter value\"")]
    [InlineData("UNIT:PRES FURLONG", "-224,\"Illegal parameter value\"")]
    public void A_wrong_message_is_silent_and_queues_its_error(string request, string error)
    {
        _controller.Send("*CLS");
        Assert.Equal("", _controller.Ask(request, 200_000));
        Assert.Equal(error, _controller.Ask("SYST:ERR?"));
        Assert.Equal("0,\"No error\"", _controller.Ask("SYST:ERR?"));
    }

    [Fact]
    public void The_first_error_after_power_on_says_so_and_its_event_bit_is_set()
    {
        Assert.Equal("128", _controller.Ask("*ESR?"));
        Assert.Equal("0", _controller.Ask("*ESR?"));
        Assert.Equal("-500,\"Power on\"", _controller.Ask("SYST:ERR:NEXT?"));
    }

    [Fact]
    public void A_full_error_queue_ends_with_an_overflow()
    {
        _controller.Send("*CLS");
        for (int i = 0; i < 15; i++)
        {
            _controller.Send("NONSENSE");
        }

        Assert.Equal("10", _controller.Ask("SYST:ERR:COUN?"));
        for (int i = 0; i < 9; i++)
        {
            Assert.StartsWith("-113", _controller.Ask("SYST:ERR?"));
        }

        Assert.StartsWith("-350", _controller.Ask("SYST:ERR?"));
        Assert.StartsWith("0,", _controller.Ask("SYST:ERR?"));
    }

    [Fact]
    public void Status_byte_summarises_what_is_enabled()
    {
        Assert.Equal("4", _controller.Ask("*STB?"));
        Assert.Equal("0", _controller.Ask("*CLS;*ESE 32;*SRE 32;*STB?"));
        _controller.Send("NONSENSE");
        Assert.Equal((4 + 32 + 64).ToString(), _controller.Ask("*STB?"));
        Assert.Equal("32", _controller.Ask("*ESR?"));
    }

    [Fact]
    public void Garbage_and_endless_messages_do_no_harm()
    {
        _controller.Send("\u0001\u00ff\u0080");
        _controller.Send(new string('A', 1000));
        Assert.Equal("SIMULATED,CONTROLLER,SC-01042,1.0", _controller.Ask("*IDN?", 3_000_000));
        Assert.Equal("-500,\"Power on\";-102,\"Syntax error\";-363,\"Input buffer overrun\"", _controller.Ask("SYST:ERR?;ERR?;ERR?"));
    }

    [Fact]
    public void The_longest_compound_query_is_answered_whole()
    {
        string request = "SOUR:STAT?" + string.Concat(Enumerable.Repeat(";STAT?", 41));
        string reply = _controller.Ask(request, 10_000_000);
        Assert.Equal(42, reply.Split(';').Length);
    }

    [Fact]
    public void A_measurement_takes_its_integration_time_and_holds_what_follows()
    {
        Host meter = new(_bench, "multimeter");
        meter.Send("SENS:CURR:NPLC 10");
        _bench.AdvanceTo(_bench.NowMicros + 100_000);
        long asked = _bench.NowMicros;
        meter.Send("MEAS:CURR?");
        meter.Send("*IDN?");
        double amperes = double.Parse(meter.Listen(), System.Globalization.CultureInfo.InvariantCulture);
        Assert.InRange(amperes, 3.99e-3, 4.04e-3);
        // 11 request bytes and 13 reply bytes at 9600 baud, 200 ms integration, 2 ms turnaround.
        long expected = asked + 200_000 + 2_000 + (24L * 10_000_000_000 / 9600 / 1000);
        Assert.InRange(_bench.NowMicros, expected, expected + 3);
        Assert.Equal("SIMULATED,MULTIMETER,SM-03310,1.0", meter.Listen());
    }
}
