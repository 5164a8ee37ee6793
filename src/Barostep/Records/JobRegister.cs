using Barostep.Configuration;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>What was changed on a device between its two calibrations, and by whom.</summary>
public sealed record Adjustment(DateTimeOffset AdjustedUtc, string AdjustedBy, string Note);

/// <summary>A run of a job.</summary>
public sealed record JobRun(string RunId, JobStage Stage, DateTimeOffset StartedUtc, RunOutcome Outcome);

/// <summary>A job as far as it has come.</summary>
/// <param name="Definition">As agreed at its newest run.</param>
/// <param name="Runs">Oldest first, those that were not completed included.</param>
/// <param name="Adjustments">Oldest first.</param>
public sealed record JobRecord(JobDefinition Definition, IReadOnlyList<JobRun> Runs, IReadOnlyList<Adjustment> Adjustments)
{
    /// <summary>The newest completed run as found; null before there is one.</summary>
    public JobRun? AsFound => Newest(JobStage.AsFound);

    /// <summary>The newest completed run as left; null where nothing was adjusted, or not calibrated since.</summary>
    public JobRun? AsLeft => Newest(JobStage.AsLeft);

    private JobRun? Newest(JobStage stage) => Runs.LastOrDefault(run => run.Stage == stage && run.Outcome == RunOutcome.Completed);
}

/// <summary>Customers' orders: the device as found, what was adjusted, the device as left.</summary>
public sealed class JobRegister
{
    private readonly StoreFile _file;

    internal JobRegister(StoreFile file) => _file = file;

    /// <summary>The job, or null where no run was made for one of that name.</summary>
    public JobRecord? Get(string name) => _file.Read(connection => Load(connection, name));

    /// <summary>Why no run of this stage may begin; null where it may.</summary>
    public string? Objection(JobUse use) => _file.Read(connection =>
    {
        JobRecord? job = Load(connection, use.Job.Name);
        return use.Stage switch
        {
            JobStage.AsLeft when job is null or { Adjustments.Count: 0 } =>
                $"nothing was adjusted in job {use.Job.Name}; a run as left follows an adjustment",
            JobStage.AsFound when job is { Adjustments.Count: > 0 } =>
                $"job {use.Job.Name} was adjusted on {RecordJsonWriter.Moment(job.Adjustments[^1].AdjustedUtc)}; from then on its runs are as left",
            _ => null,
        };
    });

    /// <summary>Notes an adjustment. It is refused before the device was calibrated as found, since that could not be made up for.</summary>
    /// <exception cref="RunStoreException">The job does not allow it, or has no completed run as found.</exception>
    public void Adjust(string name, Adjustment adjustment) => _file.Write($"the adjustment in job {name}", connection =>
    {
        if (Load(connection, name) is not { AsFound: not null } job)
            throw new RunStoreException($"job {name} has no completed run as found; calibrate the device before adjusting it");
        if (!job.Definition.AdjustmentAllowed)
            throw new RunStoreException($"job {name} does not allow an adjustment; agree it with the customer and write adjustment_allowed = true");
        connection.Execute(
            "INSERT INTO adjustments (job_name, adjusted_utc, adjusted_by, note) VALUES ($1, $2, $3, $4)",
            name, RecordJsonWriter.Moment(adjustment.AdjustedUtc), adjustment.AdjustedBy, adjustment.Note);
    });

    private static JobRecord? Load(SqliteConnection connection, string name)
    {
        List<(JobDefinition Definition, JobRun Run)> runs = connection.Rows(
            row => (StoredText.Parsed(row.GetString(0), JobJson.Read), new JobRun(
                row.GetString(1),
                StoredText.Word<JobStage>(row.GetString(2)),
                StoredText.Moment(row.GetString(3)),
                row.IsDBNull(4) ? RunOutcome.Incomplete : StoredText.Word<RunOutcome>(row.GetString(4)))),
            """
            SELECT jobs.definition, runs.id, stage, started_utc, endings.outcome
            FROM jobs
            JOIN run_jobs ON run_jobs.job = jobs.id
            JOIN runs ON runs.number = run_jobs.run
            LEFT JOIN endings ON endings.run = runs.number
            WHERE jobs.name = $1 ORDER BY started_utc, runs.number
            """,
            name);
        if (runs.Count == 0)
            return null;
        List<Adjustment> adjustments = connection.Rows(
            row => new Adjustment(StoredText.Moment(row.GetString(0)), row.GetString(1), row.GetString(2)),
            "SELECT adjusted_utc, adjusted_by, note FROM adjustments WHERE job_name = $1 ORDER BY id",
            name);
        return new JobRecord(runs[^1].Definition, runs.ConvertAll(read => read.Run), adjustments);
    }
}
