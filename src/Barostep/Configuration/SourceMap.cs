using Barostep.Instruments;
using Barostep.Procedures;

namespace Barostep.Configuration;

/// <summary>Where each key of the configuration was written, so that a limit can be shown with its origin.</summary>
/// <remarks>Keys are dotted paths as in the file: <c>ceiling</c>, <c>part.hose.rating</c>, <c>settle.band</c>.</remarks>
public sealed class SourceMap
{
    /// <summary>Knows no place; for definitions that were not read from files.</summary>
    public static readonly SourceMap Empty = new();

    private readonly Dictionary<(string File, string Key), SourcePosition> _positions = [];

    public static string FileOf(BenchDefinition bench) => $"benches/{bench.Name}.toml";

    public static string FileOf(InstrumentDefinition instrument) => $"instruments/{instrument.Name}.toml";

    public static string FileOf(DeviceDefinition device) => $"devices/{device.Name}.toml";

    public static string FileOf(Procedure procedure) => $"procedures/{procedure.Name}.toml";

    public static string FileOf(ReferenceStandard standard) => $"standards/{standard.Name}.toml";

    public static string FileOf(JobDefinition job) => $"jobs/{job.Name}.toml";

    public SourcePosition Of(BenchDefinition bench, string key) => Of(FileOf(bench), key);

    public SourcePosition Of(InstrumentDefinition instrument, string key) => Of(FileOf(instrument), key);

    public SourcePosition Of(DeviceDefinition device, string key) => Of(FileOf(device), key);

    public SourcePosition Of(Procedure procedure, string key) => Of(FileOf(procedure), key);

    public SourcePosition Of(ReferenceStandard standard, string key) => Of(FileOf(standard), key);

    public SourcePosition Of(JobDefinition job, string key) => Of(FileOf(job), key);

    /// <summary>The place of a key's value; where it was not written, the nearest enclosing table, or the file alone.</summary>
    public SourcePosition Of(string file, string key)
    {
        for (string path = key; ; path = path[..path.LastIndexOf('.')])
        {
            if (_positions.TryGetValue((file, path), out SourcePosition found))
                return found;
            if (!path.Contains('.', StringComparison.Ordinal))
                return new SourcePosition(file, 0, 0);
        }
    }

    internal void Add(string key, SourcePosition position) => _positions.TryAdd((position.File, key), position);
}
