using Barostep.Instruments;

namespace Barostep.Lines;

/// <summary>A byte line over a stream, read by one pump that is never cancelled.</summary>
/// <remarks>
/// Cancelling a read of a serial stream loses bytes, and a second operation after a hang-up can wait for ever. So nothing
/// is cancelled, time-outs are the driver's, and after the first fault the line is only disposed of and never used again.
/// </remarks>
public abstract class StreamLine : IByteLine, IDisposable
{
    /// <summary>A line whose disposal takes longer than this is left behind; a healthy one takes milliseconds.</summary>
    private static readonly TimeSpan DisposalDeadline = TimeSpan.FromSeconds(2);

    private readonly Lock _gate = new();
    private readonly Stream _stream;
    private readonly Action _onChange;
    private readonly byte[] _waiting = new byte[16 * 1024];
    private int _first;
    private int _count;
    private volatile Exception? _fault;
    private int _disposed;

    /// <param name="stream">The open stream.</param>
    /// <param name="onChange">Called from the pump after bytes arrived or the line was lost.</param>
    protected StreamLine(Stream stream, Action onChange)
    {
        _stream = stream;
        _onChange = onChange;
    }

    public bool IsOpen => _fault is null;

    /// <summary>What ended the line; null while it is open.</summary>
    public Exception? Fault => _fault;

    public int Receive(Span<byte> buffer)
    {
        lock (_gate)
        {
            int taken = Math.Min(_count, buffer.Length);
            for (int i = 0; i < taken; i++)
                buffer[i] = _waiting[(_first + i) % _waiting.Length];
            _first = (_first + taken) % _waiting.Length;
            _count -= taken;
            return taken;
        }
    }

    public bool Send(ReadOnlySpan<byte> bytes)
    {
        if (IsOpen)
            _ = WriteAsync(bytes.ToArray());
        return IsOpen;
    }

    /// <summary>Ends the line; returns at once. A handle that cannot be closed in time is left behind.</summary>
    public void Dispose()
    {
        if (Interlocked.Exchange(ref _disposed, 1) != 0)
            return;
        _fault ??= new ObjectDisposedException(GetType().Name);
        Disposal = ReleaseAsync();
        GC.SuppressFinalize(this);
    }

    /// <summary>Ends with true when the handle is closed, and with false where it was left behind.</summary>
    public Task<bool> Disposal { get; private set; } = Task.FromResult(false);

    /// <summary>The lock to give back when the line has ended.</summary>
    internal PortLock? Lock { get; set; }

    /// <summary>Closes the handle. May hang; it runs on a thread of its own.</summary>
    protected abstract void Release();

    /// <summary>Begins to read. Call once, when construction is complete.</summary>
    protected void Pump() => _ = ReadAsync();

    private async Task<bool> ReleaseAsync()
    {
        try
        {
            await Task.Factory.StartNew(Release, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default)
                .WaitAsync(DisposalDeadline).ConfigureAwait(false);
            return true;
        }
        catch (Exception e) when (e is TimeoutException or IOException or InvalidOperationException)
        {
            return false;
        }
        finally
        {
            Lock?.Dispose();
            _onChange();
        }
    }

    private async Task ReadAsync()
    {
        byte[] chunk = new byte[512];
        try
        {
            while (IsOpen)
            {
                int length = await _stream.ReadAsync(chunk).ConfigureAwait(false);
                if (length == 0)
                    throw new IOException("The other end closed the line.");
                Store(chunk.AsSpan(0, length));
                _onChange();
            }
        }
        catch (Exception e) when (e is IOException or ObjectDisposedException or InvalidOperationException or UnauthorizedAccessException)
        {
            Lose(e);
        }
    }

    private async Task WriteAsync(byte[] bytes)
    {
        try
        {
            await _stream.WriteAsync(bytes).ConfigureAwait(false);
        }
        catch (Exception e) when (e is IOException or ObjectDisposedException or InvalidOperationException or UnauthorizedAccessException or TimeoutException)
        {
            Lose(e);
        }
    }

    private void Store(ReadOnlySpan<byte> bytes)
    {
        lock (_gate)
        {
            // A peer that talks without end is not answering questions: what does not fit is dropped, and the
            // driver sees garbage either way.
            int kept = Math.Min(bytes.Length, _waiting.Length - _count);
            for (int i = 0; i < kept; i++)
                _waiting[(_first + _count + i) % _waiting.Length] = bytes[i];
            _count += kept;
        }
    }

    private void Lose(Exception e)
    {
        _fault ??= e;
        _onChange();
    }
}
