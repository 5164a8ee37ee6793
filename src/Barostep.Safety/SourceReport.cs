namespace Barostep.Safety;

/// <summary>What the pressure source says it is doing.</summary>
public enum SourceMode : byte
{
    /// <summary>Not told, or this source cannot tell. Nothing is concluded from it.</summary>
    Unknown,

    /// <summary>Open to atmosphere.</summary>
    Venting,

    /// <summary>Outlet closed, only measuring.</summary>
    Measuring,

    /// <summary>Regulating at its set point.</summary>
    Controlling,
}

/// <summary>The newest news from the pressure source, apart from its own sensor.</summary>
public readonly record struct SourceReport
{
    /// <summary>Whether the line to the source is up. A source without a line (a person with a pump) reports true.</summary>
    public bool LineUp { get; init; }

    public SourceMode Mode { get; init; }

    /// <summary>When the mode was asked for, monotonic; ignored while the mode is unknown.</summary>
    public long ModeAskedAtMicros { get; init; }

    /// <summary>The set point read back; ignored unless <see cref="SetPointKnown"/>.</summary>
    public Pressure SetPoint { get; init; }

    public bool SetPointKnown { get; init; }

    /// <summary>When the read-back was asked for, monotonic.</summary>
    public long SetPointAskedAtMicros { get; init; }

    /// <summary>The source's own upper limit read back; ignored unless <see cref="UpperLimitKnown"/>.</summary>
    public Pressure UpperLimit { get; init; }

    public bool UpperLimitKnown { get; init; }

    /// <summary>The action whose command has been sent and not yet acknowledged; <see cref="SafetyAction.Rest"/> for none.</summary>
    public SafetyAction Pending { get; init; }

    /// <summary>When that command was sent, monotonic; ignored while none is pending.</summary>
    public long PendingSinceMicros { get; init; }

    /// <summary>Its power-on state was seen since it was last set up: limits, unit and mode may be back at their defaults.</summary>
    public bool RestartSeen { get; init; }

    /// <summary>Its unit, or gauge or absolute, is not the one that was set.</summary>
    public bool UnitChanged { get; init; }

    /// <summary>What answers is not the instrument that was identified at the start (or the reference is not).</summary>
    public bool IdentityChanged { get; init; }
}
