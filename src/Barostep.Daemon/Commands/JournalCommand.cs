using System.CommandLine;
using System.Text.Json;
using Barostep.Daemon.Output;
using Barostep.Safety;

namespace Barostep.Daemon.Commands;

/// <summary><c>journal</c>: is it whole, does it replay, and what does it tell.</summary>
internal static class JournalCommand
{
    public static Command Build(CommandIo io) => new("journal", "Verifies, replays and reports journals.")
    {
        Verify(io),
        Replay(io),
        Report(io),
    };

    private static Command Verify(CommandIo io)
    {
        Argument<string> file = new("file") { Description = "journal file" };
        Option<string?> head = new("--head") { Description = "signed head; without it the one beside the journal, where there is one" };
        Option<string?> key = new("--key") { Description = "public key in PEM that the head must be signed by" };
        Option<bool> json = Options.Json();
        var command = new Command("verify", "Checks that no entry was changed, dropped, inserted or moved, and none cut off before the signed head.") { file, head, key, json };
        command.SetAction(arguments =>
        {
            string path = arguments.GetValue(file)!;
            SignedHead? signed = null;
            string? headPath = arguments.GetValue(head) ?? Beside(path);
            string? keyPath = arguments.GetValue(key);
            if (keyPath is not null && headPath is null)
                throw new RefusedException($"there is no {JournalSigner.HeadPathOf(path)}; name the signed head with --head");
            if (headPath is not null)
                signed = SignedHead.TryParse(ReadText(headPath)) ?? throw new RefusedException($"{headPath} holds no signed head");
            if (signed is not null && keyPath is not null && !IsSignedBy(signed, keyPath))
            {
                return NotVerified($"{headPath}: the head of entry {signed.Head.Sequence} is not signed by the owner of {keyPath}");
            }

            using FileStream stream = Open(path);
            var reader = new JournalReader(stream);
            if (reader.Verify(signed?.Head) is { } fault)
                return NotVerified($"{path}: {fault.Message}");
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, new
                {
                    verified = true,
                    entries = reader.Count,
                    newest = reader.Head.Sequence,
                    hash = reader.Head.Hash.ToString(),
                    anchor = Anchor(signed, keyPath),
                });
                return ExitCodes.Done;
            }

            io.Out.WriteLine($"{path}: {reader.Count} entries are intact, {reader.Head.Sequence} is the newest, hash {reader.Head.Hash}");
            io.Out.WriteLine(Anchor(signed, keyPath));
            return ExitCodes.Done;

            int NotVerified(string why)
            {
                if (arguments.GetValue(json))
                    Json.Write(io.Out, new { verified = false, message = why });
                else
                    io.Out.WriteLine(why);
                return ExitCodes.NotVerified;
            }
        });
        return command;
    }

    private static string Anchor(SignedHead? signed, string? key) => (signed, key) switch
    {
        (null, _) => "no signed head: entries cut off at the end would not be noticed",
        (_, null) => $"entry {signed.Head.Sequence} is the one whose head was signed; the signature was not checked, name the public key with --key",
        _ => $"entry {signed.Head.Sequence} is the one whose head was signed by the owner of {key}",
    };

    private static Command Replay(CommandIo io)
    {
        Argument<string[]> files = new("file") { Description = "journal files of one chain, oldest first", Arity = ArgumentArity.OneOrMore };
        Option<bool> json = Options.Json();
        var command = new Command("replay", "Decides every journalled cycle anew and compares bit for bit.") { files, json };
        command.SetAction(arguments =>
        {
            string[] paths = arguments.GetValue(files)!;
            var reading = new JournalFiles(paths);
            ReplayResult result = JournalReplay.Run(reading.Entries());
            bool complete = result.IsComplete && reading.Fault is null;
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, new
                {
                    complete,
                    replayed = result.Replayed,
                    notReplayed = result.NotReplayed,
                    difference = result.Difference is { } one ? new { one.Sequence, one.Tick, one.Field, one.Then, one.Now } : null,
                    message = result.Problem.Length > 0 ? result.Problem : reading.Fault,
                });
                return complete ? ExitCodes.Done : ExitCodes.NotVerified;
            }

            io.Out.WriteLine($"{result.Replayed} cycles decided anew and found equal, {result.NotReplayed} without known limits and state before them");
            if (result.Difference is { } difference)
                io.Out.WriteLine($"entry {difference.Sequence}, cycle {difference.Tick}: {difference.Field} was {difference.Then} and is now {difference.Now}");
            if (result.Problem.Length > 0)
                io.Out.WriteLine(result.Problem);
            if (reading.Fault is { } fault)
                io.Out.WriteLine(fault);
            return complete ? ExitCodes.Done : ExitCodes.NotVerified;
        });
        return command;
    }

    private static Command Report(CommandIo io)
    {
        Argument<string> file = new("file") { Description = "journal file" };
        Option<string> unit = new("--unit") { Description = "unit of pressure", DefaultValueFactory = _ => "bar" };
        Option<bool> json = Options.Json();
        var command = new Command("report", "Sums a journal up: limits and who set them, runs and how near the ceiling they came, trips and why.") { file, unit, json };
        command.SetAction(arguments =>
        {
            PressureUnit inUnit = PressureUnit.Find(arguments.GetValue(unit)!)
                ?? throw new RefusedException($"there is no unit '{arguments.GetValue(unit)}'; there are: {string.Join(", ", PressureUnit.All)}");
            var reading = new JournalFiles([arguments.GetValue(file)!]);
            JournalReport report;
            try
            {
                report = JournalReport.From(reading.Entries());
            }
            catch (JsonException problem)
            {
                io.Error.WriteLine(problem.Message);
                return ExitCodes.NotVerified;
            }

            Pressure atmosphere = reading.Atmosphere ?? Pressure.StandardAtmosphere;
            if (arguments.GetValue(json))
                io.Out.WriteLine(JsonSerializer.Serialize(ReportJson.Of(report, atmosphere), Json.Indented));
            else
                report.Write(io.Out, inUnit, PressureReference.Gauge, atmosphere);
            if (reading.Fault is not { } fault)
                return ExitCodes.Done;
            io.Error.WriteLine(fault);
            return ExitCodes.NotVerified;
        });
        return command;
    }

    private static string? Beside(string journal)
    {
        string path = JournalSigner.HeadPathOf(journal);
        return File.Exists(path) ? path : null;
    }

    private static bool IsSignedBy(SignedHead signed, string keyPath)
    {
        try
        {
            return signed.IsSignedBy(ReadText(keyPath));
        }
        catch (Exception problem) when (problem is ArgumentException or System.Security.Cryptography.CryptographicException)
        {
            throw new RefusedException($"{keyPath} holds no public key in PEM form");
        }
    }

    private static string ReadText(string path)
    {
        using FileStream stream = Open(path);
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }

    /// <exception cref="RefusedException">It cannot be opened.</exception>
    internal static FileStream Open(string path)
    {
        try
        {
            return new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"{path} cannot be read: {problem.Message}");
        }
    }
}
