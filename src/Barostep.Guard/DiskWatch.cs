namespace Barostep.Guard;

/// <summary>Looks once in a while how much room the journal has, on a thread that may wait for the disk.</summary>
internal sealed class DiskWatch : IDisposable
{
    /// <summary>Hours of journal (SR-42).</summary>
    private const long LeastFreeBytes = 256L << 20;

    private static readonly TimeSpan Every = TimeSpan.FromSeconds(30);

    private readonly string folder;
    private readonly Timer timer;
    private volatile bool isLow;

    public DiskWatch(string folder)
    {
        this.folder = folder;
        Look();
        timer = new Timer(_ => Look(), null, Every, Every);
    }

    /// <summary>Whether there is too little.</summary>
    public bool IsLow => isLow;

    public void Dispose() => timer.Dispose();

    private void Look()
    {
        try
        {
            isLow = new DriveInfo(folder).AvailableFreeSpace < LeastFreeBytes;
        }
        catch (IOException)
        {
            isLow = true;
        }
    }
}
