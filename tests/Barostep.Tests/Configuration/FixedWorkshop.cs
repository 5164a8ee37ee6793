using Barostep.Configuration;

namespace Barostep.Tests.Configuration;

/// <summary>A configuration kept for the tests, so that their lines and columns stand still when the shipped one grows.</summary>
internal static class FixedWorkshop
{
    public static string Folder { get; } = Path.Combine(AppContext.BaseDirectory, "Configuration", "workshop");

    public static LoadedConfiguration Load() => ConfigurationDirectory.Load(Folder);
}
