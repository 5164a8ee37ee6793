namespace Barostep.Guard;

/// <summary>Looks once in a while how much room the journal has, on a thread that may wait for the disk.</summary>
internal sealed class DiskWatch : IDisposable
{
    /// <summary>Hours of journal (SR-42).</summary>
    private const long LeastFreeBytes = 256L << 20;

    private static readonly TimeSpan Every = TimeSpan.FromSeconds(30);

    private readonly string _folder;
    private readonly Timer _timer;
    private volatile bool _isLow;

    public DiskWatch(string folder)
    {
        _folder = folder;
        Look();
        _timer = new Timer(_ => Look(), null, Every, Every);
    }

    /// <summary>Whether there is too little.</summary>
    public bool IsLow => _isLow;

    public void Dispose() => _timer.Dispose();

    private void Look()
    {
        try
        {
            _isLow = new DriveInfo(_folder).AvailableFreeSpace < LeastFreeBytes;
        }
        catch (IOException)
        {
            _isLow = true;
        }
    }
}
