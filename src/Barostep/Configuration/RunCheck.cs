using Barostep.Procedures;

namespace Barostep.Configuration;

/// <summary>Whether a procedure may be run on a device on a bench; asked before any port is opened.</summary>
public static class RunCheck
{
    /// <summary>All reasons against the run, sorted by place; empty when it may be prepared.</summary>
    public static IReadOnlyList<ConfigurationError> Check(
        BenchDefinition bench, DeviceDefinition device, Procedure procedure, SourceMap origins)
    {
        ArgumentNullException.ThrowIfNull(bench);
        ArgumentNullException.ThrowIfNull(device);
        ArgumentNullException.ThrowIfNull(procedure);
        ArgumentNullException.ThrowIfNull(origins);
        return [];
    }
}
