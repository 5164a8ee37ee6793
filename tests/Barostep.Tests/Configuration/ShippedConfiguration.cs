using System.Runtime.CompilerServices;
using Barostep.Configuration;

namespace Barostep.Tests.Configuration;

/// <summary>The repository's own <c>config/</c>, found from this file's place in it.</summary>
internal static class ShippedConfiguration
{
    public static string Repository { get; } = Path.GetFullPath(Path.Combine(Here(), "..", "..", ".."));

    public static string Folder { get; } = Path.Combine(Repository, "config");

    public static LoadedConfiguration Load() => ConfigurationDirectory.Load(Folder);

    private static string Here([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
