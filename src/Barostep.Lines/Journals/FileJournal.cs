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

    /// <summary>ENOSPC of errno(3).</summary>
    private const int NoSpace = 28;

    private readonly string _path;
    private readonly object _gate = new();
    private readonly byte[] _ring = new byte[RingBytes];
    private readonly bool _waits;
    private readonly Thread _writer;
    private FileStream _stream;
    private JournalReserve? _reserve;
    private long _length;
    private long _appended;
    private long _written;
    private long _flushesAsked;
    private long _flushAt;
    private bool _ended;
    private volatile bool _failed;
    private bool _isOver;
    private long _flushesDone;

    /// <param name="path">The file.</param>
    /// <param name="onVirtualTime">Waits for each flush: on virtual time a slow disk must not change what happens when.</param>
    /// <param name="reserve">Room that is given up when the disk is full; null for none.</param>
    /// <exception cref="IOException">The file cannot be opened.</exception>
    public FileJournal(string path, bool onVirtualTime = false, JournalReserve? reserve = null)
    {
        _waits = onVirtualTime;
        _path = path;
        _reserve = reserve;
        _stream = Open(path);
        _length = RandomAccess.GetLength(_stream.SafeFileHandle);
        _writer = new Thread(Write) { IsBackground = true, Name = "journal" };
        _writer.Start();
    }

    public override bool HasFailed => _failed;

    public override long FlushesDone => Volatile.Read(ref _flushesDone);

    public override void Append(ReadOnlySpan<byte> bytes)
    {
        lock (_gate)
        {
            while (_waits && !_isOver && _appended - _written + bytes.Length > RingBytes)
                Monitor.Wait(_gate);
            _isOver |= _appended - _written + bytes.Length > RingBytes;
            _failed |= _isOver;
            if (_isOver)
                return;
            int start = (int)(_appended % RingBytes);
            int first = Math.Min(bytes.Length, RingBytes - start);
            bytes[..first].CopyTo(_ring.AsSpan(start));
            bytes[first..].CopyTo(_ring);
            _appended += bytes.Length;
            Monitor.PulseAll(_gate);
        }
    }

    public override long RequestFlush()
    {
        lock (_gate)
        {
            long number = ++_flushesAsked;
            _flushAt = _appended;
            Monitor.PulseAll(_gate);
            while (_waits && !_isOver && _flushesDone < number)
                Monitor.Wait(_gate);
            return number;
        }
    }

    protected override void Dispose(bool disposing)
    {
        if (!disposing)
            return;
        lock (_gate)
        {
            _ended = true;
            Monitor.PulseAll(_gate);
        }

        _writer.Join();
        _stream.Dispose();
    }

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    private static partial int FlushToDisk(SafeFileHandle file);

    private void Write()
    {
        while (TakeWork(out int start, out int length, out long flush))
        {
            // Nobody else touches these bytes until they count as written.
            bool done = length == 0 ? FlushToDisk(_stream.SafeFileHandle) == 0 : TryWrite(_ring.AsSpan(start, length));
            lock (_gate)
            {
                _written += length;
                _isOver |= !done;
                _failed |= !done;
                if (done && length == 0)
                    Volatile.Write(ref _flushesDone, flush);
                Monitor.PulseAll(_gate);
            }
        }
    }

    /// <summary>Waits for bytes to write, or for a flush that has nothing before it (a length of 0); false at the end.</summary>
    private bool TakeWork(out int start, out int length, out long flush)
    {
        lock (_gate)
        {
            while (true)
            {
                // A flush waits for all that was appended before it; what came later may wait for the next.
                bool flushDue = _flushesDone < _flushesAsked && _written >= _flushAt;
                start = (int)(_written % RingBytes);
                length = flushDue ? 0 : (int)Math.Min(_appended - _written, RingBytes - start);
                flush = _flushesAsked;
                if (_isOver)
                    return false;
                if (flushDue || length > 0)
                    return true;
                if (_ended)
                    return false;
                Monitor.Wait(_gate);
            }
        }
    }

    private bool TryWrite(ReadOnlySpan<byte> bytes)
    {
        try
        {
            _stream.Write(bytes);
            _length += bytes.Length;
            return true;
        }
        catch (IOException full) when (full.HResult == NoSpace && _reserve is not null)
        {
            return TryWriteInReserve(bytes);
        }
        catch (IOException)
        {
            return false;
        }
    }

    /// <summary>
    /// Goes on in the room that was kept, through a descriptor of its own. The journal has failed all the same, so that
    /// nothing is raised any more; what happens while the bench comes down is still written, without a gap.
    /// </summary>
    private bool TryWriteInReserve(ReadOnlySpan<byte> bytes)
    {
        _failed = true;
        int reached = (int)(RandomAccess.GetLength(_stream.SafeFileHandle) - _length);
        _stream.Dispose();
        _reserve!.Release();
        _reserve = null;
        _length += reached;
        _stream = Open(_path);
        return TryWrite(bytes[reached..]);
    }

    private static FileStream Open(string path) => new(path, FileMode.Append, FileAccess.Write, FileShare.Read, bufferSize: 0);
}
