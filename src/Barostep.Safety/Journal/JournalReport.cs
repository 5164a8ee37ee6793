using System.Globalization;
using System.Text.Json;

namespace Barostep.Safety;

/// <summary>A ceiling or set of limits that came into force.</summary>
public sealed record ReportedLimit(long Sequence, JournalStamp Stamp, Pressure Ceiling, Pressure Floor, string GovernedBy, string Who, string Why);

/// <summary>A run and the highest pressure in it.</summary>
/// <param name="Highest">The highest good reading of any sensor; null where there was none.</param>
/// <param name="LeastMargin">Least difference of the ceiling in force and a good reading; null likewise.</param>
/// <param name="Outcome">Empty where the journal holds no end of it.</param>
public sealed record ReportedRun(
    string Run, string Device, string Who, JournalStamp From, Pressure? Highest, PressureDifference? LeastMargin, string Outcome);

/// <summary>A trip as the kernel decided it.</summary>
/// <param name="Reference">The reference's report in that cycle.</param>
/// <param name="SourceSensor">The source's own sensor's report.</param>
/// <param name="AcknowledgedBy">Who acknowledged it, with the reason; empty where nobody has.</param>
public sealed record ReportedTrip(
    long Sequence,
    JournalStamp Stamp,
    uint TripNumber,
    Cause FirstCause,
    CauseSet Causes,
    SensorReading Reference,
    SensorReading SourceSensor,
    Pressure Ceiling,
    string AcknowledgedBy);

/// <summary>A gap, a start or a stop.</summary>
public sealed record ReportedEvent(long Sequence, JournalStamp Stamp, string Text);

/// <summary>What a reviewer asks of a journal: who set which limits, how near the ceiling it came, what tripped and why.</summary>
public sealed record JournalReport
{
    public required IReadOnlyList<ReportedLimit> Limits { get; init; }

    public required IReadOnlyList<ReportedRun> Runs { get; init; }

    public required IReadOnlyList<ReportedTrip> Trips { get; init; }

    /// <summary>Starts, stops, gaps and notes in their order.</summary>
    public required IReadOnlyList<ReportedEvent> Events { get; init; }

    public required long Entries { get; init; }

    public required long Ticks { get; init; }

    /// <summary>Time in which a good reading, or the lack of one, does not show the bench at the atmosphere, µs.</summary>
    public required long PressurisedMicros { get; init; }

    public required int CleanStops { get; init; }

    /// <summary>Starts that follow anything but a clean stop or a change of file.</summary>
    public required int UncleanStarts { get; init; }

    public required int Gaps { get; init; }

    /// <summary>The bench is simulated.</summary>
    public required bool Simulated { get; init; }

    /// <summary>Whether the last entry is a clean stop or a change of file.</summary>
    public required bool EndsCleanly { get; init; }

    /// <summary>Reads entries in their order and sums them up.</summary>
    /// <exception cref="JsonException">Another version of the program wrote a payload that this one cannot read.</exception>
    public static JournalReport From(IEnumerable<JournalEntry> entries)
    {
        JournalSurvey survey = new();
        foreach (JournalEntry entry in entries)
        {
            try
            {
                survey.Take(entry);
            }
            catch (Exception problem) when (JournalReplay.IsUnreadable(problem))
            {
                throw new JsonException($"Entry {entry.Sequence} cannot be read by this version of the program: {problem.Message}", problem);
            }
        }

        return survey.Report();
    }

    /// <summary>Writes the report for a person.</summary>
    /// <param name="writer">Where to.</param>
    /// <param name="unit">The bench's unit.</param>
    /// <param name="reference">Gauge or absolute.</param>
    /// <param name="atmosphere">What gauge values count from.</param>
    public void Write(TextWriter writer, PressureUnit unit, PressureReference reference, Pressure atmosphere)
    {
        string Shown(Pressure pressure) => string.Create(
            CultureInfo.InvariantCulture,
            $"{pressure.In(unit, reference, atmosphere):0.####} {unit} {(reference == PressureReference.Gauge ? "gauge" : "absolute")}");
        string Reading(SensorReading reading) => reading.IsGood ? Shown(reading.Value) : $"no good reading ({reading.Quality})";

        if (Simulated)
            writer.WriteLine("SIMULATED BENCH: this journal says nothing about real hardware.");
        writer.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{Entries} entries, {Ticks} of them cycles; pressurised for {PressurisedMicros / 1e6:0.0} s"));
        writer.WriteLine($"{CleanStops} clean stops, {UncleanStarts} starts after an unclean stop, {Gaps} gaps; the journal {(EndsCleanly ? "ends cleanly" : "does not end with a clean stop")}");
        writer.WriteLine();
        writer.WriteLine("Limits");
        foreach (ReportedLimit limit in Limits)
            writer.WriteLine($"  {When(limit.Stamp)}  ceiling {Shown(limit.Ceiling)}, floor {Shown(limit.Floor)}, from {Plain(limit.GovernedBy)}; set by {Plain(limit.Who)}: {Plain(limit.Why)}  (entry {limit.Sequence})");
        writer.WriteLine();
        writer.WriteLine("Runs");
        foreach (ReportedRun run in Runs)
        {
            string highest = run.Highest is { } top ? $"highest {Shown(top)}" : "no good reading";
            string margin = run.LeastMargin is { } least
                ? string.Create(CultureInfo.InvariantCulture, $", nearest to the ceiling {least.Pascals / unit.PascalsAsDouble:0.####} {unit}")
                : "";
            writer.WriteLine($"  {When(run.From)}  {Plain(run.Run)}, {Plain(run.Device)}, started by {Plain(run.Who)}: {highest}{margin}; {(run.Outcome.Length > 0 ? Plain(run.Outcome) : "no end recorded")}");
        }

        writer.WriteLine();
        writer.WriteLine("Trips");
        foreach (ReportedTrip trip in Trips)
        {
            writer.WriteLine($"  {When(trip.Stamp)}  trip {trip.TripNumber}: first cause {trip.FirstCause} of {trip.Causes}; reference {Reading(trip.Reference)}, source's sensor {Reading(trip.SourceSensor)}, ceiling {Shown(trip.Ceiling)}  (entry {trip.Sequence})");
            writer.WriteLine($"      {(trip.AcknowledgedBy.Length > 0 ? $"acknowledged by {Plain(trip.AcknowledgedBy)}" : "not acknowledged")}");
        }

        writer.WriteLine();
        writer.WriteLine("Events");
        foreach (ReportedEvent one in Events)
            writer.WriteLine($"  {When(one.Stamp)}  {Plain(one.Text)}  (entry {one.Sequence})");
    }

    // What people typed must not start lines of its own or steer a terminal.
    private static string Plain(string text) =>
        string.Concat(text.Select(one => char.IsControl(one) || one is '\u2028' or '\u2029' ? $"\\u{(int)one:x4}" : one.ToString()));

    private static string When(JournalStamp stamp)
    {
        const long first = -62_135_596_800_000;
        const long last = 253_402_300_799_999;
        return stamp.WallMillis is >= first and <= last
            ? DateTimeOffset.FromUnixTimeMilliseconds(stamp.WallMillis).ToString("yyyy-MM-dd HH:mm:ss.fff'Z'", CultureInfo.InvariantCulture)
            : string.Create(CultureInfo.InvariantCulture, $"wall clock {stamp.WallMillis} ms");
    }
}
