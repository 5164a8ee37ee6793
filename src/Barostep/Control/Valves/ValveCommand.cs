namespace Barostep.Control.Valves;

/// <summary>What a valve block is told.</summary>
public enum ValveOrder
{
    /// <summary>Nothing new: what it was told last goes on, and a pulse ends by itself.</summary>
    None,

    /// <summary>Both valves shut.</summary>
    Shut,

    /// <summary>The fill valve opens for the time given and shuts again.</summary>
    Fill,

    /// <summary>The bleed valve opens for the time given and shuts again.</summary>
    Bleed,

    /// <summary>The fill valve shuts and the bleed valve stays open.</summary>
    Vent,
}

/// <summary>One order, with the length of its pulse where it has one, µs.</summary>
public readonly record struct ValveCommand(ValveOrder Order, long PulseMicros);
