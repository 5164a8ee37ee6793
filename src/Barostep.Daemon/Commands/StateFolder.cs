using System.CommandLine;
using Barostep.Configuration;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary>The records that a command looks at.</summary>
internal sealed class StateFolder
{
    private const string StoreName = "records.sqlite";

    public Option<string?> State { get; } = new("--state")
    {
        Description = "folder that holds records.sqlite; without it the state_folder of barostep.toml. The --out of a run is such a folder too",
    };

    public Option<string?> Config { get; } = Options.Config();

    /// <summary>A command that takes both options.</summary>
    public Command With(Command command)
    {
        command.Add(State);
        command.Add(Config);
        return command;
    }

    /// <summary>Path of the store.</summary>
    /// <exception cref="RefusedException">barostep.toml had to be asked, and has errors.</exception>
    public string StorePath(ParseResult arguments) => arguments.GetValue(State) is { } given
        ? Path.Combine(given, StoreName)
        : Path.Combine(Settings(arguments).StateFolder, StoreName);

    /// <summary>Who issues certificates.</summary>
    /// <exception cref="RefusedException">barostep.toml has errors, or names no laboratory.</exception>
    public Laboratory Laboratory(ParseResult arguments) => Settings(arguments).Laboratory
        ?? throw new RefusedException("barostep.toml has no [laboratory], and a certificate says who issues it; write that table");

    /// <summary>The jobs whose files can be read.</summary>
    public IReadOnlyDictionary<string, JobDefinition> Jobs(ParseResult arguments) =>
        ConfigurationDirectory.Load(ConfigurationFolder.Find(arguments.GetValue(Config))).Configuration.Jobs;

    private DaemonSettings Settings(ParseResult arguments)
    {
        // Only this one file matters here: an error in some bench must not hide the records.
        LoadedConfiguration loaded = ConfigurationDirectory.Load(ConfigurationFolder.Find(arguments.GetValue(Config)));
        ConfigurationError[] errors = [.. loaded.Errors.Where(error => error.Where.File == "barostep.toml")];
        return errors.Length == 0
            ? loaded.Configuration.Daemon
            : throw new RefusedException(string.Join('\n', errors.Select(error => error.ToString())));
    }

    /// <summary>Opens the store, does something with it, and turns what it refuses into a message.</summary>
    public int Use(ParseResult arguments, Func<RunStore, int> use) => Told(() =>
    {
        using RunStore store = RunStore.OpenExisting(StorePath(arguments));
        return use(store);
    });

    /// <summary>Runs what may be refused by the records.</summary>
    /// <exception cref="RefusedException">It was.</exception>
    public static int Told(Func<int> work)
    {
        try
        {
            return work();
        }
        catch (RunStoreException refused)
        {
            throw new RefusedException(refused.Message);
        }
    }

    /// <summary>The one device that goes by a name, tag or serial number.</summary>
    /// <exception cref="RunStoreException">There is none, or several do.</exception>
    public static DeviceIdentity Device(RunStore store, string name)
    {
        IReadOnlyList<DeviceIdentity> found = store.Devices.Named(name);
        return found.Count switch
        {
            1 => found[0],
            0 => throw new RunStoreException($"no run is of a device '{name}'; write its name, tag or serial number as 'devices list' shows it"),
            _ => throw new RunStoreException($"'{name}' is {string.Join(" and ", found)}; write the serial number of one"),
        };
    }
}
