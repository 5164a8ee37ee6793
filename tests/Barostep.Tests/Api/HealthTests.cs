using Barostep.Configuration;
using Barostep.Daemon.Api;
using Barostep.Daemon.Live;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Api;

public class HealthTests
{
    private static readonly BenchDefinition Demo = ShippedConfiguration.Load().Configuration.Benches["demo"];

    [Fact]
    public void A_bench_without_a_guard_is_not_ready_and_the_check_says_why()
    {
        IReadOnlyList<HealthCheck> checks = Health.Ready(TimeSpan.FromMilliseconds(100), [new BenchBoard(Demo, simulated: true, TimeProvider.System)]);

        Assert.True(checks[0].Ok);
        Assert.False(checks[1].Ok);
        Assert.Contains("no guard", checks[1].Found, StringComparison.Ordinal);
    }

    [Fact]
    public void A_daemon_without_a_bench_is_not_ready() =>
        Assert.Contains(Health.Ready(TimeSpan.FromMilliseconds(100), []), check => !check.Ok && check.Found.Contains("names none", StringComparison.Ordinal));

    [Theory]
    [InlineData(200, true)]
    [InlineData(2_001, false)]
    public void A_daemon_that_makes_no_frames_is_not_live(int ageMs, bool live) =>
        Assert.Equal(live, Health.Live(TimeSpan.FromMilliseconds(ageMs))[0].Ok);

    [Fact]
    public void What_was_decided_about_the_bench_changes_when_a_run_begins()
    {
        var board = new BenchBoard(Demo, simulated: true, TimeProvider.System);
        string before = board.Look().Revision;
        Assert.Equal(before, board.Look().Revision);

        using RunSheet run = Sheets.New(Demo);
        Assert.True(board.TryBegin(run));
        Assert.NotEqual(before, board.Look().Revision);

        using RunSheet second = Sheets.New(Demo);
        Assert.False(board.TryBegin(second));
        board.TakeBack(run);
        Assert.Equal(before, board.Look().Revision);
    }

    /// <summary>Runs that nobody does.</summary>
    private static class Sheets
    {
        public static RunSheet New(BenchDefinition bench)
        {
            WorkshopConfiguration workshop = ShippedConfiguration.Load().Configuration;
            var job = new Daemon.Sweeps.SweepJob(
                bench, workshop.Devices["transmitter-16bar"], workshop.Procedures["five-point"], workshop.Origins, Guid.NewGuid().ToString(), Simulated: true);
            return new RunSheet(job, DateTimeOffset.UnixEpoch, new RunCounts());
        }
    }
}
