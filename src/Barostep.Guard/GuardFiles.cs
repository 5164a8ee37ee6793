using Barostep.Configuration;
using Barostep.Lines.GuardLine;

namespace Barostep.Guard;

/// <summary>The files that a guard works with: what it guards, and where it keeps its state.</summary>
/// <param name="Config">The configuration folder.</param>
/// <param name="State">The folder for journals and sockets.</param>
/// <param name="Bench">The bench.</param>
/// <param name="Origins">Where each limit was written.</param>
/// <param name="BenchHash">Hash of the bench's files.</param>
/// <param name="SafetyPeople">Who has the role safety, by name.</param>
internal sealed record GuardFiles(string Config, string State, BenchDefinition Bench, SourceMap Origins, string BenchHash, IReadOnlyCollection<string> SafetyPeople)
{
    public string JournalFolder => Path.Combine(State, "journals", Bench.Name);

    public string SocketPath => GuardSocket.PathOf(State, Bench.Name);

    public string LockPath => Path.Combine(GuardSocket.FolderOf(State), $"{Bench.Name}.lock");

    /// <summary>Reads the configuration; errors in files of other benches do not concern this one.</summary>
    /// <exception cref="RefusedException">There is no such bench, or one of its files has an error.</exception>
    public static GuardFiles Load(GuardOptions options)
    {
        string folder = Path.GetFullPath(options.Config ?? Path.Combine(AppContext.BaseDirectory, "config"));
        if (!Directory.Exists(folder))
            throw new RefusedException($"there is no configuration folder {folder}; name one with --config");
        LoadedConfiguration loaded = ConfigurationDirectory.Load(folder);
        if (!loaded.Configuration.Benches.TryGetValue(options.Bench, out BenchDefinition? bench))
        {
            string errors = string.Join('\n', loaded.Errors);
            throw new RefusedException(errors.Length > 0 ? errors : $"there is no bench '{options.Bench}' in {folder}");
        }

        string state = Path.GetFullPath(options.State ?? loaded.Configuration.Daemon.StateFolder);
        return new GuardFiles(folder, state, bench, loaded.Configuration.Origins, FilesHash.Of(folder, bench), loaded.Configuration.Daemon.SafetyPeople);
    }

    /// <summary>Takes the lock that only one guard of a bench can hold; the system gives it back when the process ends.</summary>
    /// <exception cref="RefusedException">Another guard holds it.</exception>
    public FileStream TakeLock()
    {
        try
        {
            Directory.CreateDirectory(GuardSocket.FolderOf(State));
            return new FileStream(LockPath, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"the lock file {LockPath} cannot be taken: {error.Message} Stop the other guard of bench {Bench.Name}, or name another folder with --state.");
        }
    }
}
