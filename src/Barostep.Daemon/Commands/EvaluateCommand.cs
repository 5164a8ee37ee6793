using System.CommandLine;
using System.Security.Cryptography;
using System.Text;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Evaluation.Readings;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary><c>evaluate</c>: readings taken elsewhere, by the same rules as a run's.</summary>
internal static class EvaluateCommand
{
    public static Command Build(CommandIo io)
    {
        Option<string> readings = new("--readings") { Description = "CSV file: point, series, reference, indication, with units in its first line", Required = true };
        Option<string> device = new("--device") { Description = "device that was read", Required = true };
        Option<string> procedure = new("--procedure") { Description = "procedure that was followed", Required = true };
        Option<string?> bench = new("--bench") { Description = "bench whose standards the readings were taken with: corrects them by its certificates and levels, and gives U" };
        Option<string?> config = Options.Config();
        Option<bool> json = Options.Json();
        var command = new Command("evaluate", "Evaluates readings taken elsewhere, by the same rules as a run's.") { readings, device, procedure, bench, json, config };
        command.SetAction(arguments =>
        {
            WorkshopConfiguration workshop = ConfigurationFolder.Load(arguments.GetValue(config));
            DeviceDefinition of = ConfigurationFolder.Named(workshop.Devices, "device", arguments.GetValue(device)!);
            Procedure by = ConfigurationFolder.Named(workshop.Procedures, "procedure", arguments.GetValue(procedure)!);
            if (of.Contact is not null)
                throw new RefusedException($"device {of.Name} is a pressure switch, and a file of readings holds no changes of a contact; run it with sweep");
            string path = arguments.GetValue(readings)!;
            string text = InputFile.ReadText(path);
            LoadedReadings loaded = ReadingsFile.Read(path, text, of, by);
            if (loaded.Errors.Count > 0)
                throw new RefusedException(string.Join('\n', loaded.Errors));
            BenchDefinition? on = arguments.GetValue(bench) is { } name ? ConfigurationFolder.Named(workshop.Benches, "bench", name) : null;
            RunResult result = RunEvaluation.Evaluate(TakenOn(on, RecordOf(path, text, of, by, loaded)));
            if (arguments.GetValue(json))
                io.Out.WriteLine(InputFile.Written(stream => ResultJson.Write(stream, result)));
            else
                WriteTable(io.Out, result);
            return ExitCodes.Of(result);
        });
        return command;
    }

    private static void WriteTable(TextWriter writer, RunResult result)
    {
        ResultTable.Write(writer, result);
        CharacteristicText.Write(writer, result);
    }

    // A file holds currents as currents, so no shunt takes part.
    private static RunRecord TakenOn(BenchDefinition? bench, RunRecord record) => bench is null ? record : record with
    {
        Bench = $"{bench.Name}; readings from {record.Bench[(record.Bench.LastIndexOf(' ') + 1)..]}",
        Standards = StandardsInUse.Record(bench, DateOnly.FromDateTime(record.StartedUtc.UtcDateTime), allowance: null),
        Arrangement = bench.Arrangement with { Shunt = null },
        AtmospherePascals = BenchLimits.AtmosphereOf(bench).Pascals,
    };

    // What a file of readings cannot tell is not a number: nobody may take it for one.
    private static RunRecord RecordOf(string path, string text, DeviceDefinition device, Procedure procedure, LoadedReadings readings)
    {
        DateTimeOffset written = new(File.GetLastWriteTimeUtc(path), TimeSpan.Zero);
        return new RunRecord
        {
            Id = IdOf(text),
            StartedUtc = written,
            EndedUtc = written,
            Bench = $"none; readings from {Path.GetFileName(path)}",
            Device = device,
            Procedure = procedure,
            Instruments = new Dictionary<string, string>(),
            Simulated = false,
            Outcome = RunOutcome.Completed,
            OutcomeReason = string.Empty,
            VentConfirmed = false,
            Zeros = readings.Zeros,
            Points = readings.Points,
            CeilingPascals = double.NaN,
            HighestPascals = double.NaN,
            AtmospherePascals = double.NaN,
            JournalHead = string.Empty,
            SoftwareVersion = ProgramVersion.Text,
        };
    }

    /// <summary>The same file has the same name each time. The form is a UUID of version 8.</summary>
    private static string IdOf(string text)
    {
        byte[] hash = SHA256.HashData(Encoding.UTF8.GetBytes(text));
        hash[6] = (byte)((hash[6] & 0x0F) | 0x80);
        hash[8] = (byte)((hash[8] & 0x3F) | 0x80);
        return new Guid(hash.AsSpan(0, 16), bigEndian: true).ToString();
    }
}
