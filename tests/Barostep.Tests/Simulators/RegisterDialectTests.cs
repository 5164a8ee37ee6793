using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Simulators;
using Barostep.Simulators.Wire;
using Barostep.Tests.Instruments;

namespace Barostep.Tests.Simulators;

/// <summary>Instruments that speak in registers, that echo, that talk unasked and that share a line, at the simulated bench.</summary>
public sealed class RegisterDialectTests
{
    private const string Plant = """
        name = "gauges"
        [gas]
        name = "nitrogen"
        [volume]
        litres = 0.15
        [supply]
        pressure = "20 bar gauge"
        [fill]
        conductance = 5.5e-11
        [vent]
        conductance = 6e-10

        """;

    private const string Registers = """
        [[instrument]]
        kind = "gauge"
        port = "line"
        dialect = "registers"
        address = 21
        serial = "SG-00518"
        from = "0 bar gauge"
        to = "16 bar gauge"

        """;

    [Fact]
    public void Every_byte_is_as_the_page_has_it()
    {
        SimulatedBench bench = Bench(Registers);
        bench.AdvanceTo(1_000_000);

        Assert.Equal("158302" + "80F5", Exchange(bench, "15030002000126DE"));
        string reply = Exchange(bench, "150400000005331D");
        Assert.Equal("15040A", reply[..6]);
        // Status, unit and reference: valid, bar, gauge.
        Assert.Equal("000000000000", reply[14..26]);
        Assert.Equal(string.Empty, Exchange(bench, "150400000005331E"));
        Assert.Equal("159101", Exchange(bench, WithCheck("15110000"))[..6]);
        Assert.Equal("158603", Exchange(bench, WithCheck("150600000007"))[..6]);
        // Low word first, tenths of a pascal of an empty bench.
        Assert.Equal("150404", Exchange(bench, WithCheck("150400080002"))[..6]);
    }

    [Fact]
    public void The_shipped_definition_reads_its_gauge_and_sees_its_restarts()
    {
        SimulatedBench bench = Bench(Registers);
        var driver = new InstrumentDriver(Definitions.Fitted(Definitions.Shipped("register-gauge"), "line"));
        driver.Poll(Capability.ReadPressure, 100_000);
        driver.Poll(Capability.ReadUnit, 500_000);
        driver.Poll(Capability.ReadRestart, 500_000);
        driver.Command(Capability.WriteUnit, 0, CommandUrgency.Normal, 1);
        List<ExchangeReport> reports = Run(bench, 3_000_000, driver);

        Assert.Equal(LinkState.Ready, driver.State);
        Assert.True(reports.Count(report => report.Capability == Capability.ReadPressure) >= 25);
        Assert.All(reports, report => Assert.Equal(ExchangeOutcome.Answered, report.Outcome));
        Assert.All(reports.Where(report => report.Capability == Capability.ReadPressure), report => Assert.InRange(report.Value, -0.001m, 0.001m));

        bench.Inject("fault line restart");
        reports = Run(bench, 7_000_000, driver);
        Assert.Equal(1m, reports.Last(report => report.Capability == Capability.ReadRestart).Value);
    }

    [Fact]
    public void A_gauge_that_talks_unasked_is_read_by_the_shipped_definition()
    {
        SimulatedBench bench = Bench(Registers.Replace("dialect = \"registers\"", "tells_every_ms = 100", StringComparison.Ordinal));
        var driver = new InstrumentDriver(Definitions.Fitted(Definitions.Shipped("streaming-gauge"), "line"));
        driver.Poll(Capability.ReadPressure, 100_000);
        List<ExchangeReport> reports = Run(bench, 3_000_000, driver);

        Assert.Equal(0, driver.Garbage);
        Assert.InRange(reports.Count(report => report is { Capability: Capability.ReadPressure, Outcome: ExchangeOutcome.Answered }), 20, 30);
    }

    [Fact]
    public void An_instrument_that_echoes_needs_only_a_line_in_its_definition()
    {
        SimulatedBench bench = Bench(Registers.Replace("dialect = \"registers\"", "dialect = \"fixed-width\"\necho = true", StringComparison.Ordinal)
            .Replace("address = 21", "address = 12", StringComparison.Ordinal));
        InstrumentDefinition shipped = Definitions.Shipped("fixed-gauge");
        var driver = new InstrumentDriver(Definitions.Fitted(shipped with { Framing = shipped.Framing with { Echo = true } }, "line"));
        driver.Poll(Capability.ReadPressure, 200_000);
        List<ExchangeReport> reports = Run(bench, 3_000_000, driver);

        Assert.Equal((0L, 0L), (driver.Garbage, driver.TimeOuts));
        Assert.True(reports.Count(report => report is { Capability: Capability.ReadPressure, Outcome: ExchangeOutcome.Answered }) >= 10);
    }

    [Fact]
    public void Three_gauges_on_one_line_take_turns_and_none_starves()
    {
        SimulatedBench bench = Bench(string.Concat(new[] { 21, 22, 23 }.Select(address =>
            Registers.Replace("address = 21", $"address = {address}", StringComparison.Ordinal)
                .Replace("SG-00518", $"SG-005{address}", StringComparison.Ordinal))));
        InstrumentDefinition shipped = Definitions.Shipped("register-gauge");
        InstrumentDriver[] drivers = [.. new[] { "21", "22", "23" }.Select(address => new InstrumentDriver(
            new FittedInstrument(shipped.At(address), "line", null, $"SG-005{address}", 0)))];
        drivers[0].Poll(Capability.ReadPressure, 1);
        drivers[1].Poll(Capability.ReadPressure, 1);
        drivers[2].Poll(Capability.ReadPressure, 200_000);
        List<ExchangeReport> reports = Run(bench, 5_000_000, drivers);

        Assert.All(drivers, driver => Assert.Equal((LinkState.Ready, 0L, 0L), (driver.State, driver.Garbage, driver.TimeOuts)));
        Assert.All(reports, report => Assert.Equal(ExchangeOutcome.Answered, report.Outcome));
        long[] asked = [.. drivers.Select(driver => driver.Exchanges)];
        Assert.InRange(asked[0] - asked[1], -2, 2);
        Assert.InRange(asked[2], 23, 27);
    }

    [Fact]
    public void Silence_of_one_instrument_costs_the_others_its_time_out_and_no_more()
    {
        SimulatedBench bench = Bench(Registers);
        InstrumentDefinition shipped = Definitions.Shipped("register-gauge");
        InstrumentDriver[] drivers = [.. new[] { "21", "99" }.Select(address => new InstrumentDriver(Definitions.Fitted(shipped.At(address), "line")))];
        drivers[0].Poll(Capability.ReadPressure, 100_000);
        List<ExchangeReport> reports = Run(bench, 10_000_000, drivers);

        Assert.Equal((LinkState.Ready, LinkState.Lost), (drivers[0].State, drivers[1].State));
        // Half a second of every second goes into asking the silent one who it is.
        Assert.True(reports.Count(report => report is { Capability: Capability.ReadPressure, Outcome: ExchangeOutcome.Answered }) > 30);
    }

    private static SimulatedBench Bench(string instruments)
    {
        string path = Path.GetTempFileName();
        try
        {
            File.WriteAllText(path, Plant + instruments);
            return SimulatedBench.Load(path, seed: 1);
        }
        finally
        {
            File.Delete(path);
        }
    }

    private static string Exchange(SimulatedBench bench, string hex)
    {
        SimulatedPort port = bench.Port("line");
        port.HostWrite(Convert.FromHexString(hex));
        bench.AdvanceTo(bench.NowMicros + 200_000);
        byte[] reply = new byte[256];
        return Convert.ToHexString(reply.AsSpan(0, port.HostRead(reply)));
    }

    private static string WithCheck(string hex)
    {
        ushort check = Barostep.Simulators.Instruments.RegisterDialect.Check(Convert.FromHexString(hex));
        return $"{hex}{check & 0xFF:X2}{check >> 8:X2}";
    }

    private static List<ExchangeReport> Run(SimulatedBench bench, long untilMicros, params InstrumentDriver[] drivers)
    {
        var turns = new LineTurns(drivers);
        var line = new Barostep.Daemon.Sweeps.EmbeddedLine(bench.Port("line"));
        List<ExchangeReport> reports = [];
        long next = bench.NowMicros;
        while (bench.NowMicros < untilMicros)
        {
            bench.AdvanceTo(Math.Max(bench.NowMicros, Math.Min(untilMicros, Math.Min(next, bench.NextEventMicros))));
            next = turns.Advance(bench.NowMicros, line);
            foreach (InstrumentDriver driver in drivers)
            {
                while (driver.TryTake(out ExchangeReport report))
                    reports.Add(report);
            }
        }

        return reports;
    }
}
