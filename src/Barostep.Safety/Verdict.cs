namespace Barostep.Safety;

/// <summary>How far a cause goes, in order of severity: the most severe one present wins.</summary>
/// <remarks>The safety requirements call them R0 to R5.</remarks>
public enum Verdict : byte
{
    /// <summary>R0: nothing is wrong.</summary>
    None,

    /// <summary>R1: tell people; nothing changes.</summary>
    Warn,

    /// <summary>R2: no further change of pressure; regulate where it is. Ends when the cause has gone and the least hold has passed.</summary>
    Hold,

    /// <summary>R3: vent at the allowed rate, then rest. The run is over.</summary>
    Abort,

    /// <summary>R4: isolate the supply and vent as fast as the bench can, by command and by the dump valve.</summary>
    Trip,

    /// <summary>R5: as a trip, where commands cannot be relied upon: the keep-alive stops, and the hardware acts by itself.</summary>
    Drop,
}
