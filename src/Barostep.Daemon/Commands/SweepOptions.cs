using System.CommandLine;
using Barostep.Configuration;
using Barostep.Configuration.Quantities;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary>What people tell of a run beside bench, device and procedure: its job, themselves, the room, an overdue standard.</summary>
internal sealed class SweepOptions
{
    private readonly Option<string?> _job = new("--job") { Description = "customer's order that the run is for: name of a file in jobs/" };
    private readonly Option<bool> _asFound = new("--as-found") { Description = "with --job: the device as it came; the same as neither, before an adjustment was noted" };
    private readonly Option<bool> _asLeft = new("--as-left") { Description = "with --job: the device after 'jobs adjust'" };
    private readonly Option<string?> _performedBy = new("--performed-by") { Description = "who does it; goes into record, journal and certificate" };
    private readonly Option<string?> _allowOverdue = new("--allow-overdue") { Description = "who allows an overdue standard to be used; with --reason. The certificate shows both" };
    private readonly Option<string?> _reason = new("--reason") { Description = "why an overdue standard is used" };

    private readonly Option<string?> _ambient = new("--ambient")
    {
        Description = "the room as read now, such as \"21.5 degC, 43 %RH, 1009 hPa\"; without it what the bench's file says",
    };

    /// <summary>A command that takes them.</summary>
    public Command With(Command command)
    {
        foreach (Option option in new Option[] { _job, _asFound, _asLeft, _performedBy, _ambient, _allowOverdue, _reason })
            command.Add(option);
        return command;
    }

    /// <summary>Name of the device that the job is for; null without a job.</summary>
    /// <exception cref="RefusedException">There is no such job.</exception>
    public string? DeviceOfJob(ParseResult arguments, WorkshopConfiguration workshop) => JobOf(arguments, workshop)?.Device;

    /// <summary>Who may have allowed an overdue standard.</summary>
    /// <exception cref="RefusedException">A name without a reason, or the other way round.</exception>
    public OverdueAllowance? Allowance(ParseResult arguments) => (arguments.GetValue(_allowOverdue), arguments.GetValue(_reason)) switch
    {
        (null, null) => null,
        ({ } by, { } reason) when by.Trim().Length > 0 && reason.Trim().Length > 0 => new OverdueAllowance(by, reason),
        _ => throw new RefusedException("an overdue standard is allowed by a named person for a reason; write both --allow-overdue NAME and --reason TEXT"),
    };

    public string PerformedBy(ParseResult arguments) => arguments.GetValue(_performedBy)?.Trim() ?? string.Empty;

    /// <summary>The room at the beginning of the run: as read, or as the bench's file says; empty where neither tells it.</summary>
    /// <exception cref="RefusedException">The text is not understood.</exception>
    public IReadOnlyList<EnvironmentReading> Environment(ParseResult arguments, BenchDefinition bench)
    {
        if (arguments.GetValue(_ambient) is not { } text)
            return bench.Room is { } room ? [Reading(room, $"{SourceMap.FileOf(bench)}, [room]")] : [];
        try
        {
            string by = PerformedBy(arguments);
            return [Reading(AmbientText.Parse(text), by.Length == 0 ? "read by a person" : $"read by {by}")];
        }
        catch (FormatException error)
        {
            throw new RefusedException($"--ambient {error.Message}");
        }
    }

    /// <summary>The job and which of its two calibrations this is; null without a job.</summary>
    /// <param name="device">What is to be calibrated.</param>
    /// <param name="storePath">Where the job's earlier runs are kept; null: it has none.</param>
    /// <exception cref="RefusedException">The job is for another device, or is not at this stage.</exception>
    public JobUse? Job(ParseResult arguments, WorkshopConfiguration workshop, string device, string? storePath)
    {
        bool found = arguments.GetValue(_asFound);
        bool left = arguments.GetValue(_asLeft);
        if (JobOf(arguments, workshop) is not { } job)
        {
            return found || left
                ? throw new RefusedException("--as-found and --as-left are stages of a job; write --job NAME beside it")
                : null;
        }

        if (found && left)
            throw new RefusedException("a run is --as-found or --as-left; write one of them");
        if (job.Device != device)
            throw new RefusedException($"job {job.Name} is for device {job.Device}, and this run is of {device}; calibrate that device, or name another job");
        if (!File.Exists(storePath))
        {
            return left
                ? throw new RefusedException($"there are no records of job {job.Name} yet; a run as left follows one as found and an adjustment, in the same --state")
                : new JobUse(job, JobStage.AsFound);
        }

        using RunStore store = Opened(storePath);
        bool adjusted = store.Jobs.Get(job.Name) is { Adjustments.Count: > 0 };
        var use = new JobUse(job, left || (!found && adjusted) ? JobStage.AsLeft : JobStage.AsFound);
        return store.Jobs.Objection(use) is { } objection ? throw new RefusedException(objection) : use;
    }

    private static EnvironmentReading Reading(RoomClimate room, string told) =>
        new(0, room.TemperatureCelsius, room.RelativeHumidity, room.AtmospherePascals, told);

    private static RunStore Opened(string path)
    {
        try
        {
            return RunStore.Open(path);
        }
        catch (RunStoreException refused)
        {
            throw new RefusedException(refused.Message);
        }
    }

    private JobDefinition? JobOf(ParseResult arguments, WorkshopConfiguration workshop) =>
        arguments.GetValue(_job) is { } name ? ConfigurationFolder.Named(workshop.Jobs, "job", name) : null;
}
