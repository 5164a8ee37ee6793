namespace Barostep.Safety;

/// <summary>What an entry of the journal tells. The word in the file is the name in lower case with hyphens.</summary>
public enum JournalKind : byte
{
    /// <summary>The first entry of a file: format, program, bench, and where the file before it ended.</summary>
    Open,

    /// <summary>The safety limits in force from here on, with who set them and why.</summary>
    Limits,

    /// <summary>The kernel's state, so that a replay can begin here.</summary>
    State,

    /// <summary>One cycle: what was seen and what was decided.</summary>
    Tick,

    /// <summary>Written before a command that can raise pressure.</summary>
    Raise,

    /// <summary>A trip, with its first cause.</summary>
    Trip,

    /// <summary>Somebody acknowledged or reset a trip.</summary>
    Acknowledge,

    /// <summary>The ceiling was changed.</summary>
    Ceiling,

    RunStart,
    RunEnd,

    /// <summary>Words of a person.</summary>
    Note,

    /// <summary>Cycles are missing here, with the reason as far as it is known.</summary>
    Gap,

    /// <summary>An orderly end.</summary>
    Stop,

    /// <summary>The last entry of a file that another one continues.</summary>
    Rotate,
}
