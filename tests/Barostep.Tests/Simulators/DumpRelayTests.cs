using Barostep.Simulators;

namespace Barostep.Tests.Simulators;

public class DumpRelayTests
{
    private readonly SimulatedBench _bench;
    private readonly Host _relay;
    private int _number;

    public DumpRelayTests()
    {
        _bench = new SimulatedBench(BenchFile.Load("demo") with { Dump = new DumpDescription("relay", 9600, new ValveDescription(3e-9)) }, 1);
        _bench.AdvanceTo(100_000);
        _relay = new Host(_bench, "relay");
    }

    [Fact]
    public void Without_a_keep_alive_the_dump_valve_is_open()
    {
        Assert.Equal("OPEN", _relay.Ask("?"));
        Assert.Equal(1, _bench.Truth.DumpOpening);
    }

    [Fact]
    public void Keep_alives_hold_it_shut_and_their_absence_opens_it_for_good()
    {
        _relay.Send("ARM");
        KeepAlive(seconds: 5);
        Assert.Equal("SHUT", _relay.Ask("?"));
        Assert.Equal(0, _bench.Truth.DumpOpening);
        _bench.AdvanceTo(_bench.NowMicros + 700_000);
        Assert.Equal(1, _bench.Truth.DumpOpening);
        KeepAlive(seconds: 2);
        Assert.Equal("OPEN", _relay.Ask("?"));
        _relay.Send("ARM");
        KeepAlive(seconds: 1);
        Assert.Equal("SHUT", _relay.Ask("?"));
    }

    [Fact]
    public void A_keep_alive_that_repeats_its_number_does_not_count()
    {
        _relay.Send("ARM");
        for (int i = 0; i < 10; i++)
        {
            _relay.Send("K7");
            _bench.AdvanceTo(_bench.NowMicros + 100_000);
        }

        Assert.Equal("OPEN", _relay.Ask("?"));
    }

    private void KeepAlive(double seconds)
    {
        for (int i = 0; i < seconds * 10; i++)
        {
            _relay.Send($"K{++_number}");
            _bench.AdvanceTo(_bench.NowMicros + 100_000);
        }
    }
}
