using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Daemon.Output;

/// <summary>The folder that one run leaves behind.</summary>
internal sealed class RunFolder
{
    private readonly string path;

    private RunFolder(string path) => this.path = path;

    public string JournalPath => Path.Combine(path, "journal.jsonl");

    /// <summary>The records of this folder's runs, when the run is not kept in the daemon's own store.</summary>
    public string StorePath => Path.Combine(path, "records.sqlite");

    public string LogPath => Path.Combine(path, "barostep.log");

    /// <summary>Makes the folder, and room in it: what an earlier run left there is replaced.</summary>
    /// <exception cref="RefusedException">The folder cannot be made or written.</exception>
    public static RunFolder Prepare(string path)
    {
        var folder = new RunFolder(Path.GetFullPath(path));
        try
        {
            Directory.CreateDirectory(folder.path);
            foreach (string name in new[] { "run.json", "readings.csv", "journal.jsonl", "journal.head.json", "barostep.log", "records.sqlite", "records.sqlite-wal", "records.sqlite-shm" })
                File.Delete(Path.Combine(folder.path, name));
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"the folder {folder.path} cannot be written: {error.Message} Name another one with --out.");
        }

        return folder;
    }

    /// <summary>Writes the record and the readings, each whole or not at all.</summary>
    public void Write(RunResult result)
    {
        Replace("run.json", stream => RunJson.Write(stream, result));
        Replace("readings.csv", stream => ReadingsCsv.Write(stream, result.Record));
    }

    private void Replace(string name, Action<Stream> write)
    {
        string final = Path.Combine(path, name);
        string partial = final + ".part";
        using (var stream = new FileStream(partial, FileMode.Create, FileAccess.Write))
        {
            write(stream);
            stream.Flush(flushToDisk: true);
        }

        File.Move(partial, final, overwrite: true);
    }
}
