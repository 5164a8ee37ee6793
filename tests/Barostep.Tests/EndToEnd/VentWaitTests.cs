using Barostep.Control;
using Barostep.Daemon.Hosting;

namespace Barostep.Tests.EndToEnd;

public sealed class VentWaitTests
{
    private const long Second = 1_000_000;
    private static readonly BenchSnapshot Unproved = new() { Tick = 1 };
    private static readonly BenchSnapshot Blind = new() { LineFault = "reference on port reference: no understandable answer" };

    [Fact]
    public void A_proof_ends_the_wait_at_once()
    {
        var wait = new VentWait(5 * Second);
        wait.Watch(5 * Second, new BenchSnapshot { Depressurised = true });
        Assert.Equal(VentWaitEnd.Proved, wait.End);
    }

    [Fact]
    public void With_a_line_at_fault_twenty_seconds_are_enough()
    {
        var wait = new VentWait(5 * Second);
        wait.Watch(25 * Second - 1, Blind);
        Assert.Equal(VentWaitEnd.None, wait.End);
        wait.Watch(25 * Second, Blind);
        Assert.Equal(VentWaitEnd.Blind, wait.End);
    }

    [Fact]
    public void A_bench_that_can_be_seen_is_waited_for_for_a_minute()
    {
        var wait = new VentWait(5 * Second);
        wait.Watch(24 * Second, Blind);
        wait.Watch(65 * Second - 1, Unproved);
        Assert.Equal(VentWaitEnd.None, wait.End);
        wait.Watch(65 * Second, Unproved);
        Assert.Equal(VentWaitEnd.TooLong, wait.End);
    }
}
