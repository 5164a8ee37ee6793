using Barostep.Control;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Records;

namespace Barostep.Tests.Control;

public class RunRecorderTests
{
    private static readonly RunRecord Header = new()
    {
        Id = "run-1",
        StartedUtc = DateTimeOffset.UnixEpoch,
        EndedUtc = DateTimeOffset.UnixEpoch,
        Bench = "bench-1",
        Device = SampleRuns.Transmitter,
        Procedure = SampleRuns.UpAndDown,
        Instruments = new Dictionary<string, string>(),
        Simulated = true,
        Outcome = RunOutcome.Incomplete,
        OutcomeReason = string.Empty,
        VentConfirmed = false,
        Zeros = [],
        Points = [],
        CeilingPascals = 2_000_000,
        HighestPascals = 0,
        AtmospherePascals = 100_000,
        JournalHead = string.Empty,
        SoftwareVersion = "test",
    };

    [Fact]
    public void What_happens_is_in_the_record_in_the_order_in_which_it_happened()
    {
        var recorder = new RunRecorder(Header);
        var zeros = new[] { new ZeroRecord(true, []), new ZeroRecord(false, []) };
        var points = Enumerable.Range(1, 3).Select(i =>
            new PointRecord(i, 1, SeriesDirection.Ascending, i, 0, 0, 0, PointMarks.None, [])).ToArray();
        var leak = new LeakTestRecord(800_000, 1, -2, 3);
        recorder.Take(new RunEvent.PhaseEntered(RunPhase.Venting, 5));
        recorder.Take(new RunEvent.ZeroRead(zeros[0]));
        recorder.Take(new RunEvent.LeakTested(leak));
        foreach (PointRecord point in points)
            recorder.Take(new RunEvent.PointRead(point));
        recorder.Take(new RunEvent.ZeroRead(zeros[1]));
        recorder.Take(new RunEvent.Ended(RunOutcome.Stopped, "stopped by the operator", true));

        RunRecord record = recorder.Record(DateTimeOffset.UnixEpoch.AddHours(1), "abc");
        Assert.Equal(zeros, record.Zeros);
        Assert.Equal(points, record.Points);
        Assert.Equal(leak, record.LeakTest);
        Assert.Equal(RunOutcome.Stopped, record.Outcome);
        Assert.Equal("stopped by the operator", record.OutcomeReason);
        Assert.True(record.VentConfirmed);
        Assert.Equal(DateTimeOffset.UnixEpoch.AddHours(1), record.EndedUtc);
        Assert.Equal("abc", record.JournalHead);
        Assert.Equal("run-1", record.Id);
    }

    [Fact]
    public void Before_its_end_a_run_is_incomplete_and_no_vent_is_confirmed()
    {
        RunRecord record = new RunRecorder(Header).Record(DateTimeOffset.UnixEpoch, "abc");
        Assert.Equal(RunOutcome.Incomplete, record.Outcome);
        Assert.False(record.VentConfirmed);
        Assert.Equal("the run did not end", record.OutcomeReason);
    }

    [Fact]
    public void The_highest_pressure_is_that_of_any_good_sensor_and_no_other()
    {
        var recorder = new RunRecorder(Header);
        recorder.Watch(new BenchSnapshot { Reference = Told(500_000), SourceSensor = Told(300_000) });
        recorder.Watch(new BenchSnapshot { Reference = Told(400_000), SourceSensor = Told(600_000) });
        recorder.Watch(new BenchSnapshot
        {
            Reference = Told(900_000) with { Quality = ReadingQuality.Garbled },
            SourceSensor = Told(900_000) with { Quality = ReadingQuality.LineLost },
        });
        Assert.Equal(600_000, recorder.Record(DateTimeOffset.UnixEpoch, "abc").HighestPascals);
    }

    private static SensorReading Told(double pascals) => new(ReadingQuality.Good, Pressure.FromPascals(pascals), 1, 2, 3, 4);
}
