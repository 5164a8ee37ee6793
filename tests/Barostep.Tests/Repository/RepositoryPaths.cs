using System.Runtime.CompilerServices;

namespace Barostep.Tests.Repository;

/// <summary>The repository that these tests were built from.</summary>
internal static class RepositoryPaths
{
    public static string Root { get; } = Path.GetFullPath(Path.Combine(Here(), "..", "..", ".."));

    private static string Here([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
