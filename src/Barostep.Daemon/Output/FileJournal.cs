using System.Runtime.InteropServices;
using Barostep.Control;
using Microsoft.Win32.SafeHandles;

namespace Barostep.Daemon.Output;

/// <summary>A journal file that is only ever appended to.</summary>
/// <remarks>
/// The flush is the system's own call with its answer looked at: the runtime's flush to disk ignores read-only file
/// systems and devices that cannot flush, and a journal must not.
/// </remarks>
internal sealed partial class FileJournal : JournalFile
{
    private readonly FileStream stream;

    public FileJournal(string path)
    {
        // No buffer of our own: what was appended is the system's, whatever becomes of this process.
        stream = new FileStream(path, FileMode.Append, FileAccess.Write, FileShare.Read, bufferSize: 0);
    }

    public override bool Append(ReadOnlySpan<byte> bytes)
    {
        try
        {
            stream.Write(bytes);
            return true;
        }
        catch (IOException)
        {
            return false;
        }
    }

    public override bool Flush() => FlushToDisk(stream.SafeFileHandle) == 0;

    protected override void Dispose(bool disposing)
    {
        if (disposing)
            stream.Dispose();
    }

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    private static partial int FlushToDisk(SafeFileHandle file);
}
