using System.CommandLine;
using System.Text;
using System.Text.Json;
using Barostep.Daemon.Output;
using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary><c>runs</c>: what was measured.</summary>
internal static class RunsCommand
{
    private const int PageSize = 50;

    public static Command Build(CommandIo io) => new("runs", "Lists, shows and exports recorded runs.")
    {
        List(io), Show(io), Export(io), Certificate(io), Settling(io),
    };

    private static Command List(CommandIo io)
    {
        var state = new StateFolder();
        Option<string?> device = new("--device") { Description = "only runs of this device: its name, tag or serial number" };
        Option<int> page = new("--page") { Description = $"page of {PageSize} runs, newest first", DefaultValueFactory = _ => 1 };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("list", "Lists runs, newest first.") { device, page, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            int wanted = arguments.GetValue(page);
            if (wanted < 1)
                throw new RefusedException($"there is no page {wanted}; pages count from 1");
            (IReadOnlyList<RunSummary> runs, long count) = arguments.GetValue(device) is { } name
                ? OfDevice(store, name, wanted)
                : (store.List(wanted, PageSize), store.Count());
            long pages = Math.Max(1, (count + PageSize - 1) / PageSize);
            if (arguments.GetValue(json))
                io.Out.WriteLine(JsonSerializer.Serialize(new { page = wanted, pages, count, runs = runs.Select(RunListing.Of) }, Json.Indented));
            else
                RunListing.Write(io, runs, $"page {wanted} of {pages}, {count} runs");
            return ExitCodes.Done;
        }));
        return command;
    }

    private static (IReadOnlyList<RunSummary> Runs, long Count) OfDevice(RunStore store, string name, int page)
    {
        DeviceIdentity device = StateFolder.Device(store, name);
        IReadOnlyList<RunSummary> all = store.DeviceHistory(device.Manufacturer, device.Model, device.SerialNumber);
        return ([.. all.Skip((page - 1) * PageSize).Take(PageSize)], all.Count);
    }

    private static Command Show(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> id = Id();
        Option<int?> budget = new("--budget") { Description = "shows the uncertainty budget of that point too; 0: of the one with the largest U" };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("show", "Shows one run with its result.") { id, budget, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            RunRecord run = store.Get(store.Find(arguments.GetValue(id)!))!;
            RunResult result = RunEvaluation.Evaluate(run);
            if (arguments.GetValue(json))
            {
                io.Out.Write(JsonOf(result));
                return ExitCodes.Done;
            }

            ResultTable.Write(io.Out, result);
            CharacteristicText.Write(io.Out, result);
            RunDetails.Write(io.Out, run, store.Certificates.OfRun(run.Id));
            if (arguments.GetValue(budget) is { } point)
                WriteBudget(io.Out, result, point);
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command Export(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> id = Id();
        Option<string> format = new("--format") { Description = "csv: every sample; json: the whole record and its result", Required = true };
        format.AcceptOnlyFromAmong("csv", "json");
        Option<string?> output = new("--out") { Description = "file to write; without it standard output" };
        Command command = state.With(new Command("export", "Writes one run as readings.csv or run.json.") { id, format, output });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            RunRecord run = store.Get(store.Find(arguments.GetValue(id)!))!;
            string text = arguments.GetValue(format) == "csv" ? CsvOf(run) : JsonOf(RunEvaluation.Evaluate(run));
            if (arguments.GetValue(output) is { } path)
                Save(io, path, text);
            else
                io.Out.Write(text);
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command Settling(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> id = Id();
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("settling", "Tells why each point was read when it was, and makes the decisions again from the record.") { id, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            RunRecord run = store.Get(store.Find(arguments.GetValue(id)!))!;
            if (arguments.GetValue(json) ? SettlingReport.WriteJson(io.Out, run) : SettlingReport.Write(io.Out, run))
                return ExitCodes.Done;
            io.Error.WriteLine("a decision comes out differently from its recorded pairs: the record was changed, or made by a program of another version");
            return ExitCodes.NotVerified;
        }));
        return command;
    }

    private static Command Certificate(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> id = Id();
        Option<string> format = new("--format") { Description = "pdf, xml, json, csv (every field) or results (a row a point)", Required = true };
        format.AcceptOnlyFromAmong("pdf", "xml", "json", "csv", "results");
        Option<string?> output = new("--out") { Description = "file to write; without it standard output, except for a PDF" };
        Command command = state.With(new Command("certificate", "Writes a run's certificate: the valid one as it is kept, or a draft.") { id, format, output });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            RunRecord run = store.Get(store.Find(arguments.GetValue(id)!))!;
            string wanted = arguments.GetValue(format)!;
            byte[] bytes = store.Certificates.OfRun(run.Id) is [IssuedCertificate valid, ..]
                ? CertificateDesk.Bytes(store, valid, wanted)
                : CertificateDesk.Written(new CertificateDesk(store, state.Laboratory(arguments)).Draft(Completed(run)), wanted);
            CertificateFile.Give(io, bytes, wanted, arguments.GetValue(output));
            return ExitCodes.Done;
        }));
        return command;
    }

    private static RunRecord Completed(RunRecord run) => run.Outcome == RunOutcome.Completed
        ? run
        : throw new RefusedException($"run {run.Id} was not completed; only a completed run is certified");

    private static void WriteBudget(TextWriter output, RunResult result, int index)
    {
        if (index == 0)
            DecisionTable.WriteLargestBudget(output, result);
        else if (result.Points.FirstOrDefault(point => point.Index == index) is { Budget: not null } point)
            DecisionTable.WriteBudget(output, point);
        else
            throw new RefusedException($"point {index} has no budget; the run has points 1 to {result.Points.Count}, and a budget needs a named pressure standard");
    }

    private static Argument<string> Id() => new("id") { Description = "the run's id, or as much of its beginning as is unmistakable" };

    private static void Save(CommandIo io, string path, string text)
    {
        string partial = $"{path}.part";
        try
        {
            File.WriteAllText(partial, text, new UTF8Encoding(false));
            File.Move(partial, path, overwrite: true);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"{Path.GetFullPath(path)} cannot be written: {error.Message} Name another file with --out.");
        }

        io.Error.WriteLine($"wrote {path}");
    }

    private static string CsvOf(RunRecord run)
    {
        using var buffer = new MemoryStream();
        ReadingsCsv.Write(buffer, run);
        return Encoding.UTF8.GetString(buffer.ToArray());
    }

    private static string JsonOf(RunResult result)
    {
        using var buffer = new MemoryStream();
        RunJson.Write(buffer, result);
        return Encoding.UTF8.GetString(buffer.ToArray());
    }
}
