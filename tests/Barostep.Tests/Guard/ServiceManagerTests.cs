using System.Net.Sockets;
using System.Text;
using Barostep.Control;
using Barostep.Guard;
using Barostep.Safety;
using Barostep.Tests.Processes;

namespace Barostep.Tests.Guard;

/// <summary>What a service manager hears of a guard, on a socket of the form that sd_notify(3) describes.</summary>
public sealed class ServiceManagerTests : IDisposable
{
    private readonly Workshop _workshop = new();
    private readonly Socket _listener = new(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
    private readonly ServiceManager _manager;
    private long _now = 10_000_000;

    public ServiceManagerTests()
    {
        string path = _workshop.In("notify");
        _listener.Bind(new UnixDomainSocketEndPoint(path));
        _listener.Blocking = false;
        _manager = new ServiceManager(path);
    }

    public void Dispose()
    {
        _manager.Dispose();
        _listener.Dispose();
        _workshop.Dispose();
    }

    [Theory]
    [InlineData(GuardPhase.Permitted)]
    [InlineData(GuardPhase.Boot)]
    [InlineData(GuardPhase.Venting)]
    [Trait("SR", "37")]
    public void A_cycle_without_a_fresh_reading_feeds_no_watchdog(GuardPhase phase)
    {
        BenchSnapshot blind = Seen(phase) with { Reference = SensorReading.NoneYet };
        foreach (BenchSnapshot bench in new[]
        {
            blind,
            blind with { Reference = Good with { Quality = ReadingQuality.NoReply } },
            Seen(phase) with { Causes = CauseSet.Of(Cause.ReferenceLate) },
            Seen(phase) with { Causes = CauseSet.Of(Cause.ReferenceStale) },
            Seen(phase) with { Causes = CauseSet.Of(Cause.TimeFault) },
        })
        {
            Cycles(bench, 100);
            Assert.Empty(Heard());
        }

        Cycles(Seen(phase), 1);
        Assert.Equal(["READY=1", "WATCHDOG=1"], Heard());
    }

    [Theory]
    [InlineData(GuardPhase.Safe)]
    [InlineData(GuardPhase.Tripped)]
    [Trait("SR", "37")]
    public void A_bench_that_is_safe_or_tripped_needs_no_reading(GuardPhase phase)
    {
        Cycles(Seen(phase) with { Reference = SensorReading.NoneYet, Causes = CauseSet.Of(Cause.ReferenceStale) }, 1);
        Assert.Equal(["READY=1", "WATCHDOG=1"], Heard());
    }

    [Fact]
    [Trait("SR", "37")]
    public void The_watchdog_is_fed_at_least_twice_in_its_two_seconds_and_silent_when_cycles_end()
    {
        Cycles(Seen(GuardPhase.Permitted), 40);
        int fed = Heard().Count(word => word == "WATCHDOG=1");
        Assert.InRange(fed, 3, 40);

        // Nothing but a cycle feeds it: however much time goes by, no timer does.
        _now += 60_000_000;
        Assert.Empty(Heard());
        _manager.Stop();
        Assert.Equal(["STOPPING=1"], Heard());
    }

    private static SensorReading Good => new(ReadingQuality.Good, Pressure.StandardAtmosphere, 1, 2, 3, 4);

    private static BenchSnapshot Seen(GuardPhase phase) => new() { Phase = phase, Reference = Good };

    private void Cycles(BenchSnapshot bench, int count)
    {
        for (int i = 0; i < count; i++)
            _manager.AfterCycle(bench, _now += 50_000);
    }

    private List<string> Heard()
    {
        var words = new List<string>();
        byte[] buffer = new byte[64];
        while (_listener.Poll(0, SelectMode.SelectRead))
            words.Add(Encoding.ASCII.GetString(buffer, 0, _listener.Receive(buffer)));
        return words;
    }
}
