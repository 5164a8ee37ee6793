using System.Buffers;
using Barostep.Control;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Simulation;

/// <summary>One journal file on the simulated disk. A fault is final, as on a real one.</summary>
internal sealed class DiskFile(SimulatedDisk disk) : JournalFile
{
    /// <summary>What a process had not yet handed to the system when it was killed, at most.</summary>
    public const long NewestMicros = 60_000;

    private readonly Queue<(long Number, long DoneAtMicros, int Length, bool Fails)> _flushes = new();
    private byte[] _bytes = ArrayPool<byte>.Shared.Rent(1 << 20);
    private int _length;
    private int _durable;
    private readonly Queue<(long AtMicros, int Length)> _newest = new();
    private int _settled;
    private bool _failed;
    private long _asked;
    private long _done;

    public override bool HasFailed
    {
        get
        {
            Settle();
            return _failed;
        }
    }

    public override long FlushesDone
    {
        get
        {
            Settle();
            return _done;
        }
    }

    /// <summary>Everything that was written, as a reader of the running system finds it.</summary>
    public ReadOnlyMemory<byte> Contents => _bytes.AsMemory(0, _length);

    /// <summary>What is sure to survive a loss of power.</summary>
    public ReadOnlyMemory<byte> Durable
    {
        get
        {
            Settle();
            return _bytes.AsMemory(0, _durable);
        }
    }

    /// <summary>Whether its end may be a part of an entry: a write failed, or its process was cut off.</summary>
    public bool MayBeTorn { get; private set; }

    /// <summary>Whether the process that wrote it has closed it, or died.</summary>
    public bool IsClosed { get; private set; }

    public override void Append(ReadOnlySpan<byte> bytes)
    {
        if (HasFailed || IsClosed)
            return;
        bool fails = disk.AppendFails();
        _failed |= fails;
        MayBeTorn |= fails;
        // A write that fails for want of room has written what there was room for.
        ReadOnlySpan<byte> written = fails ? bytes[..(bytes.Length / 2)] : bytes;
        if (_length + written.Length > _bytes.Length)
            Grow(_length + written.Length);
        written.CopyTo(_bytes.AsSpan(_length));
        _length += written.Length;
        _newest.Enqueue((disk.NowMicros, _length));
        while (_newest.Count > 0 && disk.NowMicros - _newest.Peek().AtMicros > NewestMicros)
            _settled = _newest.Dequeue().Length;
    }

    public override long RequestFlush()
    {
        long number = ++_asked;
        long begins = _flushes.Count > 0 ? Math.Max(disk.NowMicros, _flushes.Last().DoneAtMicros) : disk.NowMicros;
        _flushes.Enqueue((number, begins + disk.FlushMicros, _length, disk.FlushHasFailed()));
        return number;
    }

    /// <summary>Cuts off a part of what was not flushed, at any byte.</summary>
    /// <param name="random">Where.</param>
    /// <param name="newerThanMicros">Only of what was appended within this time.</param>
    internal void CutTail(Pcg32 random, long newerThanMicros)
    {
        Settle();
        int least = newerThanMicros == long.MaxValue ? _durable : Math.Max(_durable, _settled);
        CutAt(least + random.NextBelow(_length - least + 1));
        IsClosed = true;
        MayBeTorn = true;
    }

    internal void CutAt(int length)
    {
        _length = Math.Min(_length, length);
        _durable = Math.Min(_durable, _length);
    }

    /// <summary>A reader of what is there.</summary>
    internal MemoryStream Open() => new(_bytes, 0, _length, writable: false);

    /// <summary>Nobody reads it any more.</summary>
    internal void Release()
    {
        ArrayPool<byte>.Shared.Return(_bytes);
        _bytes = [];
        _length = 0;
        _durable = 0;
    }

    private void Grow(int length)
    {
        byte[] larger = ArrayPool<byte>.Shared.Rent(2 * length);
        _bytes.AsSpan(0, _length).CopyTo(larger);
        ArrayPool<byte>.Shared.Return(_bytes);
        _bytes = larger;
    }

    protected override void Dispose(bool disposing)
    {
        Settle();
        if (!_failed)
            _durable = _length;
        IsClosed = true;
    }

    private void Settle()
    {
        while (!IsClosed && !_failed && _flushes.TryPeek(out var flush) && flush.DoneAtMicros <= disk.NowMicros)
        {
            _flushes.Dequeue();
            _failed |= flush.Fails;
            if (flush.Fails)
                return;
            _done = flush.Number;
            _durable = Math.Max(_durable, flush.Length);
        }
    }
}
