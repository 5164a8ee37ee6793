using System.CommandLine;
using Barostep.Daemon.Output;
using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary><c>jobs</c>: customers' orders from as found to as left.</summary>
internal static class JobsCommand
{
    public static Command Build(CommandIo io) => new("jobs", "Shows a customer's order, and notes an adjustment in it.")
    {
        Show(io), Adjust(io),
    };

    private static Command Show(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> name = Name();
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("show", "Shows how far a job has come.") { name, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            JobRecord job = Existing(store, arguments.GetValue(name)!);
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, Of(store, job));
                return ExitCodes.Done;
            }

            io.Out.WriteLine($"job {job.Definition.Name}, order {job.Definition.Order} of {job.Definition.Customer}");
            io.Out.WriteLine($"received {RecordText.Day(job.Definition.ReceivedOn)} by {job.Definition.ReceivedBy}: {job.Definition.Condition}");
            io.Out.WriteLine($"method {job.Definition.Method}, adjustment {(job.Definition.AdjustmentAllowed ? "allowed" : "not allowed")}");
            io.Out.WriteLine();
            var table = new ColumnTable("started, UTC", "run", "stage", "outcome", "certificate");
            foreach (JobRun run in job.Runs)
            {
                table.Add(
                    RecordText.Moment(run.StartedUtc), RecordText.Id(run.RunId), RecordText.Stage(run.Stage), RunListing.Camel(run.Outcome),
                    store.Certificates.OfRun(run.RunId).Select(certificate => certificate.Number).FirstOrDefault(string.Empty));
            }

            table.Write(io.Out);
            foreach (Adjustment adjustment in job.Adjustments)
                io.Out.WriteLine($"adjusted {RecordText.Moment(adjustment.AdjustedUtc)} UTC by {adjustment.AdjustedBy}: {adjustment.Note}");
            WriteResults(io.Out, store, job);
            return ExitCodes.Done;
        }));
        return command;
    }

    private static object Of(RunStore store, JobRecord job) => new
    {
        name = job.Definition.Name,
        order = job.Definition.Order,
        customer = job.Definition.Customer,
        receivedOn = job.Definition.ReceivedOn,
        receivedBy = job.Definition.ReceivedBy,
        condition = job.Definition.Condition,
        method = job.Definition.Method,
        adjustmentAllowed = job.Definition.AdjustmentAllowed,
        runs = job.Runs.Select(run => new
        {
            startedUtc = run.StartedUtc,
            id = run.RunId,
            stage = RunListing.Camel(run.Stage),
            outcome = RunListing.Camel(run.Outcome),
            certificates = store.Certificates.OfRun(run.RunId).Select(certificate => certificate.Number),
        }),
        adjustments = job.Adjustments.Select(one => new { adjustedUtc = one.AdjustedUtc, adjustedBy = one.AdjustedBy, note = one.Note }),
    };

    private static void WriteResults(TextWriter output, RunStore store, JobRecord job)
    {
        if (job.AsFound is not { } found)
            return;
        RunResult before = RunEvaluation.Evaluate(store.Get(found.RunId)!);
        output.WriteLine();
        output.WriteLine($"as found {RecordText.Id(found.RunId)}: {RecordText.Verdict(before.Conformity)}");
        JobText.WriteAdvice(output, before);
        if (job.AsLeft is not { } left)
            return;
        output.WriteLine();
        JobText.WriteComparison(output, before, RunEvaluation.Evaluate(store.Get(left.RunId)!));
    }

    private static Command Adjust(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> name = Name();
        Option<string> by = new("--by") { Description = "who adjusted the device", Required = true };
        Option<string> note = new("--note") { Description = "what was changed, before and after", Required = true };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("adjust", "Notes an adjustment, after the run as found and before the run as left.") { name, by, note, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            string job = arguments.GetValue(name)!;
            Existing(store, job);
            store.Jobs.Adjust(job, new Adjustment(TimeProvider.System.GetUtcNow(), arguments.GetValue(by)!, arguments.GetValue(note)!));
            if (arguments.GetValue(json))
                Json.Write(io.Out, new { job, noted = true });
            io.Error.WriteLine($"noted in job {job}; calibrate the device as left next");
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Argument<string> Name() => new("name") { Description = "name of the job: its file's name without its ending" };

    private static JobRecord Existing(RunStore store, string name) =>
        store.Jobs.Get(name) ?? throw new RunStoreException($"no run was made for a job '{name}'; 'runs list' shows the jobs of the runs");
}
