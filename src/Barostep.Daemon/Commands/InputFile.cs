using System.Text;

namespace Barostep.Daemon.Commands;

/// <summary>Files that a command is given, and documents that it gives back.</summary>
internal static class InputFile
{
    private const long LargestBytes = 100_000_000;

    /// <summary>The whole text of a file in UTF-8.</summary>
    /// <exception cref="RefusedException">It is missing, unreadable, no UTF-8 or too large to be meant.</exception>
    public static string ReadText(string path)
    {
        try
        {
            if (new FileInfo(path) is { Exists: true, Length: > LargestBytes })
                throw new RefusedException($"{path} is larger than {LargestBytes / 1_000_000} MB; this command reads no such file");
            return new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(File.ReadAllBytes(path)).TrimStart('\uFEFF');
        }
        catch (DecoderFallbackException)
        {
            throw new RefusedException($"{path} is not in UTF-8; save it as UTF-8");
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException(File.Exists(path) || Directory.Exists(path) ? $"{path} cannot be read: {failure.Message}" : $"there is no file {path}");
        }
    }

    /// <summary>What a writer of a stream writes, as text without a closing line end.</summary>
    public static string Written(Action<Stream> write)
    {
        using MemoryStream stream = new();
        write(stream);
        return Encoding.UTF8.GetString(stream.ToArray()).TrimEnd('\n');
    }
}
