using Barostep.Certificates;
using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Daemon.Output;

/// <summary>The folder that one run leaves behind.</summary>
internal sealed class RunFolder
{
    private RunFolder(string path) => FullPath = path;

    /// <summary>The folder, in full.</summary>
    public string FullPath { get; }

    public string JournalPath => Path.Combine(FullPath, "journal.jsonl");

    /// <summary>The records of this folder's runs, when the run is not kept in the daemon's own store.</summary>
    public string StorePath => Path.Combine(FullPath, "records.sqlite");

    public string LogPath => Path.Combine(FullPath, "barostep.log");

    /// <summary>Makes the folder, and room in it: what an earlier run left there is replaced.</summary>
    /// <exception cref="RefusedException">The folder cannot be made or written.</exception>
    public static RunFolder Prepare(string path)
    {
        var folder = new RunFolder(Path.GetFullPath(path));
        try
        {
            Directory.CreateDirectory(folder.FullPath);
            foreach (string name in new[] { "run.json", "readings.csv", "certificate.pdf", "certificate.xml", "journal.jsonl", "journal.head.json", "barostep.log", "records.sqlite", "records.sqlite-wal", "records.sqlite-shm" })
                File.Delete(Path.Combine(folder.FullPath, name));
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"the folder {folder.FullPath} cannot be written: {error.Message} Name another one with --out.");
        }

        return folder;
    }

    /// <summary>The folder in it of a device beside the leading one.</summary>
    public RunFolder Of(string device) => Prepare(Path.Combine(FullPath, device));

    /// <summary>Writes the record and the readings, each whole or not at all.</summary>
    public void Write(RunResult result)
    {
        Replace("run.json", stream => RunJson.Write(stream, result));
        Replace("readings.csv", stream => ReadingsCsv.Write(stream, result.Record));
    }

    /// <summary>Writes the certificate as a document and as data, each whole or not at all.</summary>
    public void Write(Certificate certificate)
    {
        Replace("certificate.pdf", stream => CertificatePdf.Write(stream, certificate));
        Replace("certificate.xml", stream => CertificateXml.Write(stream, certificate));
    }

    private void Replace(string name, Action<Stream> write)
    {
        string final = Path.Combine(FullPath, name);
        string partial = final + ".part";
        using (var stream = new FileStream(partial, FileMode.Create, FileAccess.Write))
        {
            write(stream);
            stream.Flush(flushToDisk: true);
        }

        File.Move(partial, final, overwrite: true);
    }
}
