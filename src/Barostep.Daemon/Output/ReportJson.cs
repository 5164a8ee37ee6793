using Barostep.Safety;

namespace Barostep.Daemon.Output;

/// <summary>A journal's report as a document: pressures in pascals absolute, times in ms since 1970 UTC.</summary>
internal static class ReportJson
{
    public static object Of(JournalReport report, Pressure atmosphere) => new
    {
        simulated = report.Simulated,
        entries = report.Entries,
        cycles = report.Ticks,
        pressurised_s = report.PressurisedMicros / 1e6,
        clean_stops = report.CleanStops,
        unclean_starts = report.UncleanStarts,
        gaps = report.Gaps,
        ends_cleanly = report.EndsCleanly,
        atmosphere_pa = atmosphere.Pascals,
        limits = report.Limits.Select(limit => new
        {
            entry = limit.Sequence,
            wall_ms = limit.Stamp.WallMillis,
            ceiling_pa = limit.Ceiling.Pascals,
            floor_pa = limit.Floor.Pascals,
            governed_by = limit.GovernedBy,
            who = limit.Who,
            why = limit.Why,
        }),
        runs = report.Runs.Select(run => new
        {
            run = run.Run,
            device = run.Device,
            who = run.Who,
            wall_ms = run.From.WallMillis,
            highest_pa = run.Highest?.Pascals,
            least_margin_pa = run.LeastMargin?.Pascals,
            outcome = run.Outcome,
        }),
        trips = report.Trips.Select(trip => new
        {
            entry = trip.Sequence,
            wall_ms = trip.Stamp.WallMillis,
            trip = trip.TripNumber,
            first_cause = trip.FirstCause.ToString(),
            causes = trip.Causes.ToString(),
            reference_pa = trip.Reference.IsGood ? trip.Reference.Value.Pascals : (double?)null,
            source_sensor_pa = trip.SourceSensor.IsGood ? trip.SourceSensor.Value.Pascals : (double?)null,
            ceiling_pa = trip.Ceiling.Pascals,
            acknowledged_by = trip.AcknowledgedBy,
        }),
        events = report.Events.Select(one => new { entry = one.Sequence, wall_ms = one.Stamp.WallMillis, text = one.Text }),
    };
}
