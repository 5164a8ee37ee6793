using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Live;
using Barostep.Daemon.Sweeps;
using Barostep.Daemon.Unattended;
using Barostep.Lines.GuardLine;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Configuration;
using Barostep.Unattended;

namespace Barostep.Tests.Unattended;

/// <summary>What people are told of a bench, and how often.</summary>
public sealed class BenchWatchTests : IDisposable
{
    private static readonly WorkshopConfiguration Workshop = ShippedConfiguration.Load().Configuration;

    private readonly HandSetTime _time = new();
    private readonly List<Notice> _told = [];
    private readonly BenchBoard _board;
    private readonly RunSheet _sheet;
    private readonly BenchWatch _watch;

    public BenchWatchTests()
    {
        _board = new BenchBoard(Workshop.Benches["demo"], simulated: true, _time);
        _watch = new BenchWatch(new Dictionary<string, BenchBoard> { ["demo"] = _board }, _told.Add, _time);
        var job = new SweepJob(
            Workshop.Benches["demo"], Workshop.Devices["transmitter-16bar"], Workshop.Procedures["five-point"], Workshop.Origins, "01234567", Simulated: true);
        _sheet = new RunSheet(job, DateTimeOffset.UnixEpoch, new RunCounts());
        Assert.True(_board.TryBegin(_sheet));
    }

    public void Dispose() => _sheet.Dispose();

    [Theory]
    [InlineData(RunOutcome.Completed, NoticeKind.Done)]
    [InlineData(RunOutcome.Aborted, NoticeKind.Failed)]
    [InlineData(RunOutcome.Stopped, NoticeKind.Failed)]
    public void The_end_of_a_run_is_told_once(RunOutcome outcome, NoticeKind kind)
    {
        _watch.Step();
        Assert.Empty(_told);
        _sheet.Happened(new RunEvent.Ended(outcome, "as this test says", VentConfirmed: false));
        _sheet.LetGo();
        _watch.Step();
        _watch.Step();

        Notice told = Assert.Single(_told);
        Assert.Equal((kind, "demo", "01234567"), (told.Kind, told.Bench, told.Run));
        Assert.Contains("NOT confirmed", told.Text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_trip_is_told_when_it_is_latched_and_not_again_when_its_run_ends()
    {
        Guard(Cause.OverCeiling, trip: 3);
        _watch.Step();
        _watch.Step();
        _sheet.Happened(new RunEvent.Ended(RunOutcome.Tripped, "OverCeiling", VentConfirmed: true));
        _sheet.LetGo();
        _watch.Step();

        Notice told = Assert.Single(_told);
        Assert.Equal((NoticeKind.Tripped, "01234567"), (told.Kind, told.Run));
        Assert.Equal("demo: tripped, OverCeiling", told.Title);

        Guard(Cause.None, trip: 3);
        _watch.Step();
        Guard(Cause.SensorsDisagree, trip: 4);
        _watch.Step();
        Assert.Equal(2, _told.Count);
    }

    [Fact]
    public void A_question_is_told_once_and_only_where_nobody_answers_it_soon()
    {
        Ask(1);
        _watch.Step();
        _time.Pass(TimeSpan.FromSeconds(119));
        _watch.Step();
        Ask(2);
        _watch.Step();
        _time.Pass(TimeSpan.FromSeconds(119));
        _watch.Step();
        Assert.Empty(_told);

        _time.Pass(TimeSpan.FromSeconds(1));
        _watch.Step();
        _time.Pass(TimeSpan.FromHours(1));
        _watch.Step();
        Notice told = Assert.Single(_told);
        Assert.Equal((NoticeKind.Waiting, "question 2"), (told.Kind, told.Text));
    }

    private void Guard(Cause cause, uint trip) =>
        _board.Tell(new SnapshotRecord(new BenchSnapshot { FirstCause = cause, TripNumber = trip, Reference = SensorReading.NoneYet }, default));

    private void Ask(int number) => _sheet.Cycle(
        default,
        default(RunProgress) with { Prompt = new Prompt(number, default, Pressure.Vacuum, default, 0, $"question {number}", 0, null) });

    /// <summary>Clocks that stand still until a test moves them.</summary>
    private sealed class HandSetTime : TimeProvider
    {
        private long _ticks = TimeSpan.TicksPerDay;

        public override long TimestampFrequency => TimeSpan.TicksPerSecond;

        public void Pass(TimeSpan time) => _ticks += time.Ticks;

        public override long GetTimestamp() => _ticks;

        public override DateTimeOffset GetUtcNow() => DateTimeOffset.UnixEpoch.AddTicks(_ticks);
    }
}
