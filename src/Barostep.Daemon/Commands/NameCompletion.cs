using System.CommandLine;
using System.CommandLine.Completions;

namespace Barostep.Daemon.Commands;

/// <summary>Offers a shell the names that the configuration knows, wherever a command takes one.</summary>
internal static class NameCompletion
{
    /// <summary>Options that take a definition's name, and the folder that holds the definitions.</summary>
    private static readonly Dictionary<string, string> Folders = new(StringComparer.Ordinal)
    {
        ["--bench"] = "benches",
        ["--device"] = "devices",
        ["--mounted"] = "devices",
        ["--procedure"] = "procedures",
        ["--definition"] = "instruments",
        ["--job"] = "jobs",
    };

    /// <summary>Teaches a command and all below it.</summary>
    public static void AddTo(Command command)
    {
        foreach (Option option in command.Options)
        {
            // A flag is written alone: what comes next is another option.
            if (option.ValueType == typeof(bool))
                option.CompletionSources.Clear();
            if (!Folders.TryGetValue(option.Name, out string? folder))
                continue;
            option.CompletionSources.Add(context => Names(command, context, folder));
            // Otherwise the help page would print every name in the place of it.
            option.HelpName ??= option.Name.TrimStart('-');
        }

        foreach (Command below in command.Subcommands)
            AddTo(below);
    }

    /// <summary>File names suffice: a file with an error in it can still be meant.</summary>
    private static IEnumerable<CompletionItem> Names(Command command, CompletionContext context, string folder)
    {
        string? given = command.Options.OfType<Option<string?>>().FirstOrDefault(one => one.Name == "--config") is { } config
            ? context.ParseResult.GetValue(config)
            : null;
        string path = Path.Combine(ConfigurationFolder.Find(given), folder);
        return Directory.Exists(path)
            ? Directory.GetFiles(path, "*.toml").Order(StringComparer.Ordinal).Select(file => new CompletionItem(Path.GetFileNameWithoutExtension(file)))
            : [];
    }
}
