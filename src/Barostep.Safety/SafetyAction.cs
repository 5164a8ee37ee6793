namespace Barostep.Safety;

/// <summary>What the guard half does with its lines this cycle. The default is the harmless one.</summary>
public enum SafetyAction : byte
{
    /// <summary>Source vented and at rest, dump valve open; nothing to command.</summary>
    Rest,

    /// <summary>Regulate at the approved set point.</summary>
    Control,

    /// <summary>Close the source's outlet; neither fill nor vent.</summary>
    Isolate,

    /// <summary>Vent through the source at the allowed rate; the dump valve stays shut.</summary>
    Vent,

    /// <summary>Close the source's supply and vent as fast as it can; the dump valve opens.</summary>
    Dump,
}
