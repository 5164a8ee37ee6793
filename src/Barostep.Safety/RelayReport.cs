namespace Barostep.Safety;

/// <summary>What is known of the dump valve's relay and the hard-wired inputs beside it.</summary>
public readonly record struct RelayReport
{
    /// <summary>Whether the bench has a dump valve on a keep-alive relay.</summary>
    public bool Fitted { get; init; }

    /// <summary>Whether <see cref="DumpShut"/> is told by a contact; without one the valve is taken to follow.</summary>
    public bool FeedbackKnown { get; init; }

    /// <summary>Whether the dump valve is shut; ignored unless <see cref="FeedbackKnown"/>.</summary>
    public bool DumpShut { get; init; }

    /// <summary>An emergency stop, pressure switch or cover switch is open. Stays false where none is wired.</summary>
    public bool StopInputOpen { get; init; }
}
