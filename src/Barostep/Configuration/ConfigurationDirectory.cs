using Barostep.Configuration.Checks;
using Barostep.Configuration.Files;
using Barostep.Configuration.Toml;
using Barostep.Instruments;
using Barostep.Procedures;

namespace Barostep.Configuration;

/// <summary>What came of loading a folder: what could be used, and all that is wrong, sorted by place.</summary>
public sealed record LoadedConfiguration(WorkshopConfiguration Configuration, IReadOnlyList<ConfigurationError> Errors);

/// <summary>Reads and checks a configuration folder.</summary>
/// <remarks>
/// A definition whose values could all be read takes part in the checks against the others even where something
/// else is wrong in its file, so that one reading tells as much as possible; it is then left out of the result.
/// </remarks>
public sealed class ConfigurationDirectory
{
    private readonly ConfigurationFolder _folder;
    private readonly ErrorList _errors = new();
    private readonly SourceMap _origins = new();

    private ConfigurationDirectory(string path) => _folder = new ConfigurationFolder(path, _errors);

    /// <summary>Reads <c>barostep.toml</c>, <c>benches/</c>, <c>instruments/</c>, <c>devices/</c>, <c>procedures/</c>, <c>standards/</c> and <c>jobs/</c>.</summary>
    /// <remarks>Never throws for what the files say; every error of every file is in the result.</remarks>
    public static LoadedConfiguration Load(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        return new ConfigurationDirectory(path).Load();
    }

    private LoadedConfiguration Load()
    {
        Dictionary<string, InstrumentDefinition?> instruments = ReadAll("instruments", InstrumentFile.Read);
        Dictionary<string, DeviceDefinition?> devices = ReadAll("devices", DeviceFile.Read);
        Dictionary<string, Procedure?> procedures = ReadAll("procedures", ProcedureFile.Read);
        Dictionary<string, ReferenceStandard?> standards = ReadAll("standards", StandardFile.Read);
        Dictionary<string, JobDefinition?> jobs = ReadAll("jobs", (name, file) => JobFile.Read(name, file, devices.Keys));
        Dictionary<string, BenchReading?> readings = ReadAll("benches", (name, file) => BenchFile.Read(name, file, instruments, standards));
        Dictionary<string, BenchDefinition?> benches = readings.ToDictionary(reading => reading.Key, reading => reading.Value?.Bench);
        PortCheck.Check(readings.Values.SelectMany(reading => reading?.Ports ?? []), _errors);
        HashSet<string> ordered = [.. benches.Values
            .OfType<BenchDefinition>()
            .Where(bench => BenchCheck.Check(bench, _origins, _errors))
            .Select(bench => bench.Name)];

        var names = new Dictionary<string, IReadOnlyCollection<string>>
        {
            ["benches"] = benches.Keys,
            ["devices"] = devices.Keys,
            ["procedures"] = procedures.Keys,
        };
        DaemonSettings daemon = _folder.ReadText("barostep.toml") is { } text
            ? DaemonFile.Read(new FileContext("barostep.toml", _errors, _origins).Parse(text), names)
            : DaemonSettings.Default;

        // A run that is refused is no fault of any one file, so it leaves all of them usable.
        HashSet<string> faulty = [.. _errors.Files];
        foreach (PlannedRun run in daemon.Runs.Where(run => ordered.Contains(run.Bench)))
        {
            if (benches[run.Bench] is { } bench && devices[run.Device] is { } device && procedures[run.Procedure] is { } procedure)
                _errors.AddRange(RunCheck.Check(bench, device, procedure, _origins));
        }

        return new LoadedConfiguration(
            new WorkshopConfiguration(
                daemon,
                Sound(benches, bench => FilesOf(bench).All(file => !faulty.Contains(file))),
                Sound(instruments, instrument => !faulty.Contains(SourceMap.FileOf(instrument))),
                Sound(devices, device => !faulty.Contains(SourceMap.FileOf(device))),
                Sound(procedures, procedure => !faulty.Contains(SourceMap.FileOf(procedure))),
                _origins)
            {
                Standards = Sound(standards, standard => !faulty.Contains(SourceMap.FileOf(standard))),
                Jobs = Sound(jobs, job => !faulty.Contains(SourceMap.FileOf(job))),
            },
            _errors.Sorted());
    }

    private Dictionary<string, T?> ReadAll<T>(string subfolder, Func<string, TableReader, T?> read)
        where T : class
    {
        var found = new Dictionary<string, T?>(StringComparer.Ordinal);
        foreach (string name in _folder.NamesIn(subfolder))
        {
            string file = $"{subfolder}/{name}.toml";
            found[name] = _folder.ReadText(file) is { } text ? read(name, new FileContext(file, _errors, _origins).Parse(text)) : null;
        }

        return found;
    }

    private static IEnumerable<string> FilesOf(BenchDefinition bench) =>
        new FittedInstrument?[] { bench.Source, bench.Reference, bench.DumpValve, bench.BarometerLine }
            .OfType<FittedInstrument>()
            .Concat(bench.Inputs.Select(input => input.Fitted))
            .Select(fitted => SourceMap.FileOf(fitted.Definition))
            .Concat(StandardsInUse.Of(bench).Select(used => SourceMap.FileOf(used.Standard)))
            .Prepend(SourceMap.FileOf(bench));

    private static Dictionary<string, T> Sound<T>(Dictionary<string, T?> read, Func<T, bool> isSound)
        where T : class =>
        read.Where(item => item.Value is not null && isSound(item.Value))
            .ToDictionary(item => item.Key, item => item.Value!, StringComparer.Ordinal);
}
