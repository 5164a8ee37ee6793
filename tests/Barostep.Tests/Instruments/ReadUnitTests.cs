using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Safety;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Instruments;

public class ReadUnitTests
{
    public static TheoryData<string> Shipped => [.. ShippedConfiguration.Load().Configuration.Instruments
        .Where(i => i.Value.Can(Capability.ReadUnit)).Select(i => i.Key)];

    [Theory]
    [MemberData(nameof(Shipped))]
    [Trait("SR", "06")]
    public void A_shipped_definition_says_which_unit_must_be_found(string name)
    {
        InstrumentDefinition definition = ShippedConfiguration.Load().Configuration.Instruments[name];
        ExchangeDefinition exchange = definition.Exchanges[Capability.ReadUnit];
        ExchangeDefinition pressure = definition.Exchanges[Capability.ReadPressure];
        Assert.NotNull(exchange.Unit);
        Assert.Equal((pressure.Unit, pressure.Reference), (exchange.Unit, exchange.Reference));
    }

    [Theory]
    [InlineData("BAR;GAUG", ExchangeOutcome.Answered)]
    [InlineData("BAR;ABS", ExchangeOutcome.WrongUnit)]
    [InlineData("MBAR;GAUG", ExchangeOutcome.WrongUnit)]
    [InlineData("FURLONG;GAUG", ExchangeOutcome.WrongUnit)]
    [Trait("SR", "06")]
    public void Another_unit_than_was_set_is_seen_by_asking_for_the_unit_alone(string told, ExchangeOutcome outcome)
    {
        InstrumentDefinition definition = ShippedConfiguration.Load().Configuration.Instruments["text-controller"];
        // A line ends with one character here: the scripted line of the other tests speaks with two.
        definition = definition with { Framing = definition.Framing with { Terminator = "\r\n"u8.ToArray() } };
        var bench = new DriverBench(definition, r => r == "*IDN?" ? "SIMULATED,CONTROLLER,C-1,1.0" : told, serial: null);
        bench.Driver.Poll(Capability.ReadUnit, 1_000_000);
        bench.RunTo(900_000);
        Assert.Equal(outcome, Assert.Single(bench.Of(Capability.ReadUnit)).Outcome);
    }
}
