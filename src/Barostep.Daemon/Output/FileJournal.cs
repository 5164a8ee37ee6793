using System.Collections.Concurrent;
using System.Runtime.InteropServices;
using Barostep.Control;
using Microsoft.Win32.SafeHandles;

namespace Barostep.Daemon.Output;

/// <summary>A journal file that is only ever appended to, by a thread that waits for the disk so that no cycle does.</summary>
/// <remarks>
/// The flush is the system's own call with its answer looked at: the runtime's flush to disk ignores read-only file
/// systems and devices that cannot flush, and a journal must not.
/// </remarks>
internal sealed partial class FileJournal : JournalFile
{
    /// <summary>Minutes of cycles: a disk that is so far behind does not come back in time.</summary>
    private const int LongestQueue = 10_000;

    private readonly FileStream stream;
    private readonly BlockingCollection<byte[]?> queue = new(LongestQueue);
    private readonly ManualResetEventSlim? flushed;
    private readonly Thread writer;
    private volatile bool failed;
    private long flushesDone;
    private long flushesAsked;

    /// <param name="path">The file.</param>
    /// <param name="onVirtualTime">Waits for each flush: on virtual time a slow disk must not change what happens when.</param>
    /// <exception cref="IOException">The file cannot be opened.</exception>
    public FileJournal(string path, bool onVirtualTime = false)
    {
        flushed = onVirtualTime ? new ManualResetEventSlim() : null;
        stream = new FileStream(path, FileMode.Append, FileAccess.Write, FileShare.Read, bufferSize: 0);
        writer = new Thread(Write) { IsBackground = true, Name = "journal" };
        writer.Start();
    }

    public override bool HasFailed => failed;

    public override long FlushesDone => Volatile.Read(ref flushesDone);

    public override void Append(ReadOnlySpan<byte> bytes) => TryAdd(bytes.ToArray());

    public override long RequestFlush()
    {
        flushed?.Reset();
        if (TryAdd(null))
            flushed?.Wait();
        return ++flushesAsked;
    }

    protected override void Dispose(bool disposing)
    {
        if (!disposing)
            return;
        queue.CompleteAdding();
        writer.Join();
        queue.Dispose();
        stream.Dispose();
        flushed?.Dispose();
    }

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    private static partial int FlushToDisk(SafeFileHandle file);

    private bool TryAdd(byte[]? entry)
    {
        bool added = !failed && queue.TryAdd(entry);
        failed |= !added;
        return added;
    }

    private void Write()
    {
        foreach (byte[]? entry in queue.GetConsumingEnumerable())
        {
            if (entry is not null)
                failed = failed || !TryWrite(entry);
            else
                Flush();
        }
    }

    private void Flush()
    {
        failed = failed || FlushToDisk(stream.SafeFileHandle) != 0;
        if (!failed)
            Volatile.Write(ref flushesDone, flushesDone + 1);
        flushed?.Set();
    }

    private bool TryWrite(byte[] entry)
    {
        try
        {
            stream.Write(entry);
            return true;
        }
        catch (IOException)
        {
            return false;
        }
    }
}
