using Barostep.Configuration;

namespace Barostep.Daemon.Commands;

/// <summary>Finds and loads the configuration that a command works with.</summary>
internal static class ConfigurationFolder
{
    private const string InstalledProgram = "/usr/lib/barostep/";
    private const string InstalledFolder = "/etc/barostep";

    /// <summary>The folder that travels with the program.</summary>
    public static string Shipped => Path.Combine(AppContext.BaseDirectory, "config");

    /// <summary>The workshop's own where a package installed the program, which left the shipped one as it was; the shipped one elsewhere.</summary>
    private static string Usual => AppContext.BaseDirectory == InstalledProgram && Directory.Exists(InstalledFolder) ? InstalledFolder : Shipped;

    /// <summary>The folder given, or the usual one.</summary>
    /// <exception cref="RefusedException">It does not exist.</exception>
    public static string Find(string? given)
    {
        string folder = given ?? Usual;
        return Directory.Exists(folder)
            ? folder
            : throw new RefusedException($"there is no configuration folder {Path.GetFullPath(folder)}; name one with --config");
    }

    /// <summary>Loads it; every error of every file is told at once.</summary>
    /// <exception cref="RefusedException">Something is wrong in it.</exception>
    public static WorkshopConfiguration Load(string? given)
    {
        LoadedConfiguration loaded = ConfigurationDirectory.Load(Find(given));
        return loaded.Errors.Count == 0
            ? loaded.Configuration
            : throw new RefusedException(string.Join('\n', loaded.Errors));
    }

    /// <summary>Looks a definition up by name.</summary>
    /// <exception cref="RefusedException">There is none of that name; the message lists those that there are.</exception>
    public static T Named<T>(IReadOnlyDictionary<string, T> all, string kind, string name) => all.TryGetValue(name, out T? found)
        ? found
        : throw new RefusedException($"there is no {kind} '{name}'; there are: {string.Join(", ", all.Keys.Order(StringComparer.Ordinal))}");
}
