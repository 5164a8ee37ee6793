namespace Barostep.Control;

/// <summary>Where the bytes of a journal go. A fault is final: nobody knows what of it reached the disk.</summary>
public abstract class JournalFile : IDisposable
{
    /// <summary>Hands bytes over; false where that failed.</summary>
    public abstract bool Append(ReadOnlySpan<byte> bytes);

    /// <summary>Makes everything appended survive a loss of power; false where that failed.</summary>
    public abstract bool Flush();

    public void Dispose()
    {
        Dispose(disposing: true);
        GC.SuppressFinalize(this);
    }

    protected abstract void Dispose(bool disposing);
}

/// <summary>A journal that lives and dies with the process: for benches that do not exist.</summary>
public sealed class MemoryJournalFile : JournalFile
{
    private readonly MemoryStream bytes = new();

    /// <summary>Everything appended so far.</summary>
    public ReadOnlyMemory<byte> Contents => bytes.GetBuffer().AsMemory(0, (int)bytes.Length);

    public override bool Append(ReadOnlySpan<byte> bytes)
    {
        this.bytes.Write(bytes);
        return true;
    }

    public override bool Flush() => true;

    protected override void Dispose(bool disposing) => bytes.Dispose();
}
