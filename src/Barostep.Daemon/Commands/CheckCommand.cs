using System.CommandLine;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Procedures;

namespace Barostep.Daemon.Commands;

/// <summary><c>check</c>: everything that is wrong in a configuration, at once.</summary>
internal static class CheckCommand
{
    public static Command Build(CommandIo io)
    {
        Option<string?> config = Options.Config();
        Option<bool> json = Options.Json();
        var command = new Command("check", "Lists every error of a configuration folder, with file, line and column.") { config, json };
        command.SetAction(arguments =>
        {
            string folder = ConfigurationFolder.Find(arguments.GetValue(config));
            LoadedConfiguration loaded = ConfigurationDirectory.Load(folder);
            if (arguments.GetValue(json))
                WriteJson(io, loaded);
            else
                WriteLines(io, folder, loaded);
            return loaded.Errors.Count == 0 ? ExitCodes.Done : ExitCodes.Refused;
        });
        return command;
    }

    private static void WriteLines(CommandIo io, string folder, LoadedConfiguration loaded)
    {
        foreach (ConfigurationError error in loaded.Errors)
            io.Out.WriteLine(error);
        WorkshopConfiguration found = loaded.Configuration;
        if (loaded.Errors.Count == 0)
            WriteSequences(io, found);
        io.Error.WriteLine(loaded.Errors.Count == 0
            ? $"{folder}: no errors in {found.Benches.Count} benches, {found.Instruments.Count} instruments, {found.Devices.Count} devices and {found.Procedures.Count} procedures"
            : $"{folder}: {loaded.Errors.Count} {(loaded.Errors.Count == 1 ? "error" : "errors")}");
    }

    /// <summary>Says of every procedure which published sequences it follows: the name that a certificate may cite.</summary>
    private static void WriteSequences(CommandIo io, WorkshopConfiguration found)
    {
        HashSet<PublishedSequence> cited = [];
        foreach (Procedure procedure in found.Procedures.Values.OrderBy(procedure => procedure.Name, StringComparer.Ordinal))
        {
            IReadOnlyList<PublishedSequence> satisfied = PublishedSequence.SatisfiedBy(procedure);
            io.Error.WriteLine(satisfied.Count == 0
                ? $"procedures/{procedure.Name}.toml: satisfies no published sequence that is known here"
                : $"procedures/{procedure.Name}.toml: satisfies {string.Join("; ", satisfied.Select(sequence => sequence.Name))}");
            cited.UnionWith(satisfied);
        }

        foreach (PublishedSequence sequence in PublishedSequence.All.Where(cited.Contains))
            io.Error.WriteLine($"{sequence.Name}: {sequence.Source}");
    }

    private static void WriteJson(CommandIo io, LoadedConfiguration loaded) =>
        io.Out.WriteLine(JsonSerializer.Serialize(
            loaded.Errors.Select(error => new
            {
                file = error.Where.File,
                line = error.Where.Line,
                column = error.Where.Column,
                found = error.Found,
                rule = error.Rule,
                instead = error.Instead,
            }),
            Json.Indented));
}
