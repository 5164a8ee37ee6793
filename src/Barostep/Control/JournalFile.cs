namespace Barostep.Control;

/// <summary>Where the bytes of a journal go. Nothing here waits for a disk, and a fault is final: nobody knows what reached it.</summary>
public abstract class JournalFile : IDisposable
{
    /// <summary>Whether an append or a flush has failed.</summary>
    public abstract bool HasFailed { get; }

    /// <summary>The newest flush that is complete; see <see cref="RequestFlush"/>.</summary>
    public abstract long FlushesDone { get; }

    /// <summary>Hands bytes over, in order.</summary>
    public abstract void Append(ReadOnlySpan<byte> bytes);

    /// <summary>Asks for everything appended so far to survive a loss of power.</summary>
    /// <returns>The number that <see cref="FlushesDone"/> reaches when it does.</returns>
    public abstract long RequestFlush();

    public void Dispose()
    {
        Dispose(disposing: true);
        GC.SuppressFinalize(this);
    }

    /// <summary>Brings everything to the disk, as far as it can be, and closes the file.</summary>
    protected abstract void Dispose(bool disposing);
}

/// <summary>A journal that lives and dies with the process: for benches that do not exist.</summary>
public sealed class MemoryJournalFile : JournalFile
{
    private readonly MemoryStream _bytes = new();
    private long _flushes;

    public override bool HasFailed => false;

    public override long FlushesDone => _flushes;

    /// <summary>Everything appended so far.</summary>
    public ReadOnlyMemory<byte> Contents => _bytes.GetBuffer().AsMemory(0, (int)_bytes.Length);

    public override void Append(ReadOnlySpan<byte> bytes) => _bytes.Write(bytes);

    public override long RequestFlush() => ++_flushes;

    protected override void Dispose(bool disposing) => _bytes.Dispose();
}
