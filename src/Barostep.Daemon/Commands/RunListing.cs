using Barostep.Daemon.Output;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary>A list of runs, for people and as JSON.</summary>
internal static class RunListing
{
    public static void Write(CommandIo io, IReadOnlyList<RunSummary> runs, string closing)
    {
        var table = new ColumnTable("started, UTC", "run", "device", "serial", "procedure", "job", "points>", "largest error, % of span>", "verdict");
        foreach (RunSummary run in runs)
        {
            string job = run.Job is null ? string.Empty : $"{run.Job}, {RecordText.Stage(run.Stage)}";
            string verdict = RecordText.Verdict(run.Outcome, run.Conformity);
            table.Add(
                RecordText.Moment(run.StartedUtc), RecordText.Id(run.Id), run.Device, run.SerialNumber, run.Procedure, job,
                $"{run.Points}", RecordText.Percent(run.LargestErrorOfSpan), run.Simulated ? $"{verdict}, simulated" : verdict);
        }

        table.Write(io.Out);
        io.Error.WriteLine(closing);
    }

    public static object Of(RunSummary run) => new
    {
        id = run.Id,
        startedUtc = run.StartedUtc,
        bench = run.Bench,
        device = run.Device,
        tag = run.Tag,
        manufacturer = run.Manufacturer,
        model = run.Model,
        serialNumber = run.SerialNumber,
        procedure = run.Procedure,
        job = run.Job,
        stage = run.Stage is { } stage ? Camel(stage) : null,
        simulated = run.Simulated,
        outcome = Camel(run.Outcome),
        points = run.Points,
        verdict = Camel(run.Conformity),
        largestErrorOfSpan = run.LargestErrorOfSpan,
    };

    /// <summary>The word that files have for a member of an enumeration.</summary>
    public static string Camel<T>(T word)
        where T : struct, Enum => System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(word.ToString());
}
