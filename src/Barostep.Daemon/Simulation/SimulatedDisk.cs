using Barostep.Safety;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Simulation;

/// <summary>The disk that holds the journal: what was written to it, what of that survives, and what is wrong with it now.</summary>
/// <param name="now">The bench's time, µs.</param>
/// <param name="random">Decides how much of an unsynced tail is lost.</param>
internal sealed class SimulatedDisk(Func<long> now, Pcg32 random)
{
    private readonly List<DiskFile> _files = [];

    /// <summary>Journal files, oldest first.</summary>
    public IReadOnlyList<DiskFile> Files => _files;

    /// <summary>Time that a flush takes, µs.</summary>
    public long FlushMicros { get; set; } = 1_500;

    /// <summary>No room is left: an append is cut short and fails.</summary>
    public bool IsFull { get; set; }

    /// <summary>Less room than the guard wants to see, which it looks at by itself.</summary>
    public bool IsLow { get; set; }

    public bool FlushFails { get; set; }

    /// <summary>The append, counted over all files from 1, that fails; 0 for none.</summary>
    public long FailingAppend { get; set; }

    /// <summary>The flush, likewise.</summary>
    public long FailingFlush { get; set; }

    public long Appends { get; private set; }

    public long Flushes { get; private set; }

    public long NowMicros => now();

    /// <summary>Begins the next file.</summary>
    public DiskFile Create()
    {
        var file = new DiskFile(this);
        _files.Add(file);
        return file;
    }

    /// <summary>The process that wrote has died: what it had handed over stays, but for the last of it.</summary>
    public void LoseProcess()
    {
        if (_files.Count > 0)
            _files[^1].CutTail(random, DiskFile.NewestMicros);
    }

    /// <summary>The power has gone: only what was flushed is sure to stay, and any part of the rest may.</summary>
    public void LosePower()
    {
        if (_files.Count > 0)
            _files[^1].CutTail(random, long.MaxValue);
    }

    /// <summary>What a start finds of the journal; null where there is none.</summary>
    public JournalRecovery? Recover()
    {
        if (_files.Count == 0)
            return null;
        using MemoryStream stream = _files[^1].Open();
        JournalRecovery found = JournalRecovery.Scan(stream);
        if (found.MayContinue && found.Fault is not null)
            _files[^1].CutAt((int)found.IntactBytes);
        return found;
    }

    /// <summary>Nobody reads the files any more.</summary>
    public void Release()
    {
        foreach (DiskFile file in _files)
            file.Release();
    }

    /// <summary>Everything that was wrong is mended.</summary>
    public void Mend()
    {
        IsFull = false;
        IsLow = false;
        FlushFails = false;
        FlushMicros = 1_500;
        FailingAppend = 0;
        FailingFlush = 0;
    }

    internal bool AppendFails() => ++Appends == FailingAppend || IsFull;

    internal bool FlushHasFailed() => ++Flushes == FailingFlush || FlushFails;
}
