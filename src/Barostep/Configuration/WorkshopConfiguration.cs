using Barostep.Instruments;
using Barostep.Procedures;

namespace Barostep.Configuration;

/// <summary>Everything that a configuration folder holds, each by its name: the file's name without its ending.</summary>
/// <remarks>A file with an error is left out, so that what is here can be used as it stands.</remarks>
public sealed record WorkshopConfiguration(
    DaemonSettings Daemon,
    IReadOnlyDictionary<string, BenchDefinition> Benches,
    IReadOnlyDictionary<string, InstrumentDefinition> Instruments,
    IReadOnlyDictionary<string, DeviceDefinition> Devices,
    IReadOnlyDictionary<string, Procedure> Procedures,
    SourceMap Origins)
{
    /// <summary>Reference standards, each as its latest certificate describes it.</summary>
    public IReadOnlyDictionary<string, ReferenceStandard> Standards { get; init; } = new Dictionary<string, ReferenceStandard>();

    /// <summary>Customers' orders.</summary>
    public IReadOnlyDictionary<string, JobDefinition> Jobs { get; init; } = new Dictionary<string, JobDefinition>();
}
