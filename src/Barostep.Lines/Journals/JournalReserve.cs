using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace Barostep.Lines.Journals;

/// <summary>Room on the journal's disk that nobody else can take: given up when the disk is full, so that what then happens is still written (SR-42).</summary>
public sealed partial class JournalReserve
{
    /// <summary>Twenty minutes of cycles: more than any vent takes.</summary>
    public const long Bytes = 16 << 20;

    private readonly string _path;

    private JournalReserve(string path) => _path = path;

    /// <summary>Takes the room; null where there is not so much, or the disk cannot promise it.</summary>
    /// <param name="folder">The journal's folder.</param>
    public static JournalReserve? Take(string folder)
    {
        string path = Path.Combine(folder, "reserve");
        try
        {
            using var file = new FileStream(path, FileMode.Create, FileAccess.Write);
            if (Allocate(file.SafeFileHandle, 0, Bytes) == 0)
                return new JournalReserve(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }

        File.Delete(path);
        return null;
    }

    /// <summary>Gives the room up.</summary>
    public void Release() => File.Delete(_path);

    [LibraryImport("libc", EntryPoint = "posix_fallocate")]
    private static partial int Allocate(SafeFileHandle file, long offset, long length);
}
