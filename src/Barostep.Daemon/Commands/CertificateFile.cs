using System.Text;

namespace Barostep.Daemon.Commands;

/// <summary>Gives a certificate's file to whoever asked: into a file, or onto standard output where it is text.</summary>
internal static class CertificateFile
{
    /// <exception cref="RefusedException">A PDF without a file, or the file cannot be written.</exception>
    public static void Give(CommandIo io, byte[] bytes, string format, string? path)
    {
        if (path is null)
        {
            if (format == "pdf")
                throw new RefusedException("a PDF is no text for a terminal; name a file with --out");
            io.Out.Write(Encoding.UTF8.GetString(bytes));
            return;
        }

        string partial = $"{path}.part";
        try
        {
            File.WriteAllBytes(partial, bytes);
            File.Move(partial, path, overwrite: true);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"{Path.GetFullPath(path)} cannot be written: {error.Message} Name another file with --out.");
        }

        io.Error.WriteLine($"wrote {path}");
    }
}
