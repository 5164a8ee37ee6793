using System.Runtime.InteropServices;
using Barostep.Control;
using Microsoft.Win32.SafeHandles;

namespace Barostep.Lines.Journals;

/// <summary>A journal file that is only ever appended to, by a thread that waits for the disk so that no cycle does.</summary>
/// <remarks>
/// What is appended waits in a ring of bytes, so that a cycle allocates nothing. The flush is the system's own call with
/// its answer looked at: the runtime's flush to disk ignores read-only file systems and devices that cannot flush, and a
/// journal must not.
/// </remarks>
public sealed partial class FileJournal : JournalFile
{
    /// <summary>Minutes of cycles: a disk that is so far behind does not come back in time.</summary>
    private const int RingBytes = 8 << 20;

    private readonly FileStream stream;
    private readonly object gate = new();
    private readonly byte[] ring = new byte[RingBytes];
    private readonly bool waits;
    private readonly Thread writer;
    private long appended;
    private long written;
    private long flushesAsked;
    private long flushAt;
    private bool ended;
    private volatile bool failed;
    private long flushesDone;

    /// <param name="path">The file.</param>
    /// <param name="onVirtualTime">Waits for each flush: on virtual time a slow disk must not change what happens when.</param>
    /// <exception cref="IOException">The file cannot be opened.</exception>
    public FileJournal(string path, bool onVirtualTime = false)
    {
        waits = onVirtualTime;
        stream = new FileStream(path, FileMode.Append, FileAccess.Write, FileShare.Read, bufferSize: 0);
        writer = new Thread(Write) { IsBackground = true, Name = "journal" };
        writer.Start();
    }

    public override bool HasFailed => failed;

    public override long FlushesDone => Volatile.Read(ref flushesDone);

    public override void Append(ReadOnlySpan<byte> bytes)
    {
        lock (gate)
        {
            while (waits && !failed && appended - written + bytes.Length > RingBytes)
                Monitor.Wait(gate);
            failed |= appended - written + bytes.Length > RingBytes;
            if (failed)
                return;
            int start = (int)(appended % RingBytes);
            int first = Math.Min(bytes.Length, RingBytes - start);
            bytes[..first].CopyTo(ring.AsSpan(start));
            bytes[first..].CopyTo(ring);
            appended += bytes.Length;
            Monitor.PulseAll(gate);
        }
    }

    public override long RequestFlush()
    {
        lock (gate)
        {
            long number = ++flushesAsked;
            flushAt = appended;
            Monitor.PulseAll(gate);
            while (waits && !failed && flushesDone < number)
                Monitor.Wait(gate);
            return number;
        }
    }

    protected override void Dispose(bool disposing)
    {
        if (!disposing)
            return;
        lock (gate)
        {
            ended = true;
            Monitor.PulseAll(gate);
        }

        writer.Join();
        stream.Dispose();
    }

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    private static partial int FlushToDisk(SafeFileHandle file);

    private void Write()
    {
        while (TakeWork(out int start, out int length, out long flush))
        {
            // Nobody else touches these bytes until they count as written.
            bool done = length == 0 ? FlushToDisk(stream.SafeFileHandle) == 0 : TryWrite(ring.AsSpan(start, length));
            lock (gate)
            {
                written += length;
                failed |= !done;
                if (done && length == 0)
                    Volatile.Write(ref flushesDone, flush);
                Monitor.PulseAll(gate);
            }
        }
    }

    /// <summary>Waits for bytes to write, or for a flush that has nothing before it (a length of 0); false at the end.</summary>
    private bool TakeWork(out int start, out int length, out long flush)
    {
        lock (gate)
        {
            while (true)
            {
                // A flush waits for all that was appended before it; what came later may wait for the next.
                bool flushDue = flushesDone < flushesAsked && written >= flushAt;
                start = (int)(written % RingBytes);
                length = flushDue ? 0 : (int)Math.Min(appended - written, RingBytes - start);
                flush = flushesAsked;
                if (failed)
                    return false;
                if (flushDue || length > 0)
                    return true;
                if (ended)
                    return false;
                Monitor.Wait(gate);
            }
        }
    }

    private bool TryWrite(ReadOnlySpan<byte> bytes)
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
}
