namespace Barostep.Safety;

/// <summary>What the guard half knows of itself and of the machine under it. The default is a healthy host.</summary>
public readonly record struct HostReport
{
    /// <summary>An append or a flush of the journal failed.</summary>
    public bool JournalFailed { get; init; }

    /// <summary>Less free space than the journal needs.</summary>
    public bool DiskLow { get; init; }

    /// <summary>The journal does not end with a clean stop. Looked at in the first cycle only, and latched there.</summary>
    public bool UncleanStart { get; init; }

    /// <summary>The host was suspended for this long since the previous cycle.</summary>
    public long SuspendedMicros { get; init; }
}
