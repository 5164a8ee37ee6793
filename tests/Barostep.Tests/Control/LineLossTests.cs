using Barostep.Safety;

namespace Barostep.Tests.Control;

public class LineLossTests
{
    [Fact]
    [Trait("SR", "03, 16")]
    public void A_lost_line_is_a_condition_with_an_age_and_never_zero()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        desk.Reference.IsOpen = false;
        long lost = desk.Now;
        desk.Run(1);
        Observation[] since = [.. desk.Journal.Observations().Where(o => o.NowMicros > lost)];
        Assert.All(since, o => Assert.Equal(ReadingQuality.LineLost, o.Reference.Quality));
        Assert.All(since, o => Assert.True(o.Reference.AskedAtMicros <= lost));
        Assert.All(since, o => Assert.InRange(o.Reference.Value.Pascals, GuardDesk.Gauge(2.99).Pascals, GuardDesk.Gauge(3.01).Pascals));
        Assert.Equal(Cause.ReferenceLineLost, desk.Snapshot.FirstCause);
    }

    [Fact]
    [Trait("SR", "16")]
    public void A_line_that_goes_right_after_a_good_answer_is_seen_lost_in_the_very_next_cycle()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        desk.Cycle().Run(0.03);
        desk.Reference.IsOpen = false;
        desk.Cycle();
        Assert.Equal(ReadingQuality.LineLost, desk.Snapshot.Reference.Quality);
        Assert.Equal(Cause.ReferenceLineLost, desk.Snapshot.FirstCause);
    }

    [Fact]
    public void The_sources_own_sensor_goes_with_its_line()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        desk.Cycle().Run(0.03);
        desk.Source.IsOpen = false;
        desk.Cycle();
        Assert.Equal(ReadingQuality.LineLost, desk.Snapshot.SourceSensor.Quality);
        Assert.Equal(Cause.SourceLineLost, desk.Snapshot.FirstCause);
        Assert.Contains("pressure source on port controller", desk.Snapshot.LineFault, StringComparison.Ordinal);
    }

    [Fact]
    public void A_reference_that_falls_silent_on_an_open_line_is_no_reply_and_not_its_last_value()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        long since = desk.Now;
        desk.Reference.Distort = (_, _) => null;
        desk.Run(3);
        Observation last = desk.Journal.Observations()[^1];
        Assert.True(last.Reference.Quality is ReadingQuality.NoReply or ReadingQuality.LineLost, $"{last.Reference.Quality}");
        Assert.True(last.Reference.AskedAtMicros <= since);
        Assert.Equal(GuardPhase.Tripped, desk.Snapshot.Phase);
        Assert.Contains("no understandable answer", desk.Snapshot.LineFault, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "17")]
    public void A_garbled_answer_is_not_a_reading()
    {
        GuardDesk desk = GuardDesk.Safe();
        long count = desk.Snapshot.Reference.Count;
        desk.Reference.Distort = (request, reply) => request == "MEAS:PRES?" ? "#" + reply : reply;
        desk.Run(1);
        Assert.Equal(ReadingQuality.Garbled, desk.Snapshot.Reference.Quality);
        Assert.True(desk.Snapshot.Reference.Count > count);
        Assert.False(desk.Snapshot.Depressurised);
    }

    [Fact]
    public void Before_its_first_answer_a_sensor_has_no_reading()
    {
        var desk = new GuardDesk();
        desk.Reference.IsOpen = false;
        desk.Run(2);
        Assert.Equal(ReadingQuality.NoneYet, desk.Snapshot.Reference.Quality);
        Assert.False(desk.Snapshot.Depressurised);
        Assert.Contains("the line is not open", desk.Snapshot.LineFault, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "16")]
    public void A_wrong_instrument_is_told_and_nothing_is_asked_of_it()
    {
        var desk = new GuardDesk();
        desk.Reference.Distort = (request, reply) => request == "*IDN?" ? "SIMULATED,MULTIMETER,R-1,1.0" : reply;
        desk.Ask(3);
        desk.Run(20);
        Assert.Contains("reference on port reference", desk.Snapshot.LineFault, StringComparison.Ordinal);
        Assert.Contains("MULTIMETER", desk.Snapshot.LineFault, StringComparison.Ordinal);
        Assert.Contains(desk.Journal.Observations(), o => o.Source.IdentityChanged);
        Assert.All(desk.Reference.Requests, r => Assert.Equal("*IDN?", r));
        Assert.Empty(desk.Source.Controls);
    }

    [Fact]
    public void A_reference_that_comes_back_is_read_again_but_the_trip_stays()
    {
        GuardDesk desk = GuardDesk.Holding(3);
        desk.Reference.IsOpen = false;
        desk.Run(2);
        desk.Reference.IsOpen = true;
        desk.Until(d => d.Snapshot.Depressurised, 30);
        Assert.True(desk.Snapshot.Reference.IsGood);
        Assert.Null(desk.Snapshot.LineFault);
        Assert.Equal(GuardPhase.Tripped, desk.Snapshot.Phase);
    }
}
