using Barostep.Safety;

namespace Barostep.Tests.Safety.Journal;

public class JournalReportTests
{
    [Fact]
    public void A_night_at_the_bench_is_told_to_the_reviewer()
    {
        JournalReport report = Report(Night());

        Assert.Equal(9, report.Ticks);
        ReportedRun run = Assert.Single(report.Runs);
        // Cycle 6 of the ramp: 101.325 kPa + 60 kPa; the ceiling in force there is what the kernel says it is.
        Assert.Equal(Pressure.FromMilliPascals(161_325_000), run.Highest);
        Assert.Equal(SampleJournal.Limits.EffectiveCeiling - run.Highest!.Value, run.LeastMargin);
        Assert.Equal("tripped", run.Outcome);

        ReportedTrip trip = Assert.Single(report.Trips);
        Assert.Equal((7u, Cause.ReferenceStale), (trip.TripNumber, trip.FirstCause));
        Assert.Equal(Pressure.FromMilliPascals(151_325_000), trip.Reference.Value);
        Assert.Equal("J. Nowak: plug pushed in again", trip.AcknowledgedBy);

        Assert.Equal(["I. Kowalska", "J. Nowak"], report.Limits.Select(limit => limit.Who));
        Assert.Equal((1, 0, 1), (report.CleanStops, report.UncleanStarts, report.Gaps));
        Assert.True(report.EndsCleanly);
        // Every cycle of the ramp is more than the safe band above the atmosphere; cycles 1 to 9 span 8 periods.
        Assert.Equal(8 * SampleJournal.Period, report.PressurisedMicros);
    }

    [Fact]
    [Trait("SR", "24, 38")]
    public void A_start_after_a_power_cut_is_unclean()
    {
        JournalReport report = Report(new SampleJournal().Begin().Ticks(1, 3).Append(9, SampleJournal.Opening(2)));
        Assert.Equal(1, report.UncleanStarts);
        Assert.False(report.EndsCleanly);
    }

    [Fact]
    [Trait("SR", "25, 49")]
    public void The_text_names_people_limits_trips_and_the_simulation()
    {
        StringWriter writer = new();
        Report(Night()).Write(writer, PressureUnit.Bar, PressureReference.Gauge, Pressure.StandardAtmosphere);
        string text = writer.ToString();

        Assert.All(
            [
                "SIMULATED BENCH", "ceiling 6.3 bar gauge", "set by I. Kowalska: start of shift", "ceiling 5 bar gauge", "highest 0.6 bar gauge",
                "trip 7: first cause ReferenceStale", "reference 0.5 bar gauge", "acknowledged by J. Nowak", "gap of 12 cycles: disk full", "2025-11-25 09:30:00.000Z",
            ],
            part => Assert.Contains(part, text, StringComparison.Ordinal));
    }

    [Fact]
    public void What_people_typed_cannot_steer_a_terminal()
    {
        StringWriter writer = new();
        Report(new SampleJournal().Begin().Append(1, new NotePayload(1, "mallory", "fine\n  Trips\u001b[2J")))
            .Write(writer, PressureUnit.Bar, PressureReference.Gauge, Pressure.StandardAtmosphere);
        Assert.Contains("mallory: fine\\u000a  Trips\\u001b[2J", writer.ToString(), StringComparison.Ordinal);
    }

    private static SampleJournal Night() => new SampleJournal()
        .Begin()
        .Append(0, new RunStartPayload("r-17", "pump-station transmitter", "ten points", "I. Kowalska"))
        .Ticks(1, 4)
        .Tick(5, decision => decision with { TripNumber = 7, FirstCause = Cause.ReferenceStale, EffectiveCeiling = SampleJournal.Limits.EffectiveCeiling })
        .Tick(6, decision => decision with { TripNumber = 7, EffectiveCeiling = SampleJournal.Limits.EffectiveCeiling })
        .Append(6, new RunEndPayload("r-17", "tripped"))
        .Append(6, new AcknowledgePayload(7, "J. Nowak", "plug pushed in again"))
        .Append(6, new CeilingPayload(SampleJournal.Limits.EffectiveCeiling, Pressure.FromMilliPascals(601_325_000), "J. Nowak", "old hose"))
        .Append(6, new GapPayload(12, "disk full"))
        .Tick(7, decision => decision with { TripNumber = 7 })
        .Tick(8, decision => decision with { TripNumber = 7 })
        .Tick(9, decision => decision with { TripNumber = 7 })
        .Append(9, new StopPayload("end of shift", VentConfirmed: true));

    private static JournalReport Report(SampleJournal journal)
    {
        JournalReader reader = SampleJournal.Reader(journal.Bytes);
        JournalReport report = JournalReport.From(reader.ReadAll());
        Assert.Null(reader.Fault);
        return report;
    }
}
