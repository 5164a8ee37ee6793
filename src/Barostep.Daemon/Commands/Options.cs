using System.CommandLine;
using Barostep.Configuration;

namespace Barostep.Daemon.Commands;

/// <summary>Options that several commands have, worded once.</summary>
internal static class Options
{
    public static Option<string?> Config() => new("--config") { Description = "configuration folder; without it the one that came with the program" };

    public static Option<string?> State() => new("--state") { Description = "folder for journals, records and the guards' sockets; without it state_folder of barostep.toml" };

    /// <summary>The state folder given, or the configuration's.</summary>
    public static string StateOf(string? given, WorkshopConfiguration workshop) => Path.GetFullPath(given ?? workshop.Daemon.StateFolder);

    /// <summary>The same, made where it does not exist.</summary>
    /// <exception cref="RefusedException">It cannot be made.</exception>
    public static string MakeState(string? given, WorkshopConfiguration workshop)
    {
        string folder = StateOf(given, workshop);
        try
        {
            Directory.CreateDirectory(folder);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"the state folder {folder} cannot be made: {error.Message} Write another state_folder in barostep.toml.");
        }

        return folder;
    }

    /// <summary>One device or several, each with its own <c>--device</c>.</summary>
    public static Option<string[]> Devices(string description) => new("--device") { Description = description, AllowMultipleArgumentsPerToken = false };

    public static Option<string?> Out() => new("--out") { Description = "folder for run.json, readings.csv and journal.jsonl" };

    public static Option<bool> Json() => new("--json") { Description = "one JSON document on standard output and nothing else there" };
}
