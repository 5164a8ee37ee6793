namespace Barostep.Daemon.Simulation.Faults;

/// <summary>What a fault takes away: the checkers say from this which layer has to hold.</summary>
[Flags]
internal enum Reach
{
    None = 0,

    /// <summary>The reference gives no reading, or none that can be taken for one.</summary>
    ReferenceBlind = 1,

    /// <summary>The reference tells another pressure than there is.</summary>
    ReferenceLies = 2,

    /// <summary>The source's own sensor gives no reading.</summary>
    SourceBlind = 4,

    /// <summary>The source's own sensor tells another pressure than there is, and the source regulates by it.</summary>
    SourceLies = 8,

    /// <summary>The source does not hear or do what it is told.</summary>
    SourceDeaf = 16,

    /// <summary>The dump valve or its relay does not do what it is told.</summary>
    DumpDeaf = 32,

    /// <summary>The vent valve does not open as it should.</summary>
    VentShut = 64,

    /// <summary>The guard does not run for a while, or is gone.</summary>
    GuardGone = 128,

    /// <summary>The daemon does not run for a while, or is gone.</summary>
    DaemonGone = 256,

    /// <summary>Gas comes in or goes out without anybody's command.</summary>
    GasMoves = 512,

    /// <summary>Gas comes in through a fill valve that cannot be shut.</summary>
    FillOpen = 1024,

    /// <summary>The device or its multimeter tells wrong or nothing.</summary>
    DeviceFails = 2048,

    /// <summary>The disk does not keep what it is given, in time.</summary>
    DiskFails = 4096,

    /// <summary>A clock is moved.</summary>
    ClockMoves = 8192,

    /// <summary>A person does something.</summary>
    PersonActs = 16384,

    /// <summary>Somebody else commands the source.</summary>
    Foreign = 32768,

    /// <summary>The wall clock is set, or the room changes its temperature: nothing may come of it.</summary>
    WallMoves = 65536,
}

/// <summary>One kind of fault.</summary>
/// <param name="Name">Its name in lists.</param>
/// <param name="Codes">The codes of the fault matrix that it stands for.</param>
/// <param name="Reach">What it takes away.</param>
/// <param name="LimitMicros">How long it may last before it has to be noticed: the just-under and just-over of the matrix.</param>
/// <param name="Sizes">Its sizes, in words of the bench's fault lines or of ours.</param>
/// <param name="Begin">Begins it at a size.</param>
/// <param name="End">Ends it.</param>
internal sealed record FaultKind(
    string Name,
    string Codes,
    Reach Reach,
    long LimitMicros,
    IReadOnlyList<string> Sizes,
    Action<World, string> Begin,
    Action<World> End);
