namespace Barostep.Instruments;

/// <summary>What is known of the instrument at the end of a line.</summary>
public enum LinkState
{
    /// <summary>The line is not open.</summary>
    Closed,

    /// <summary>The line is open; the instrument has not yet said who it is.</summary>
    Identifying,

    /// <summary>The expected instrument answers.</summary>
    Ready,

    /// <summary>Another instrument answered. Nothing but a further identify is sent to it.</summary>
    WrongInstrument,

    /// <summary>The line is open and the instrument does not answer, or not in a way that can be understood.</summary>
    Lost,
}

/// <summary>Whether a command waits its turn.</summary>
public enum CommandUrgency
{
    /// <summary>Sent in order, before any polled query.</summary>
    Normal,

    /// <summary>
    /// Sent before everything that waits. Waiting commands that can move pressure are refused, since they were
    /// decided before it. An exchange that is in flight is not interrupted.
    /// </summary>
    Urgent,
}
