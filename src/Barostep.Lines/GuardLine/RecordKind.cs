namespace Barostep.Lines.GuardLine;

/// <summary>What a record between a guard and its clients says.</summary>
public enum RecordKind : byte
{
    /// <summary>A client says what it is. Always its first record.</summary>
    Hello = 1,

    /// <summary>The sequencer's wish, renewed every cycle.</summary>
    Intent,

    /// <summary>A person acknowledges a trip or changes the ceiling.</summary>
    Person,

    BeginRun,

    EndRun,

    /// <summary>Vent. Needs no name and no reason, and is always accepted.</summary>
    Vent,

    /// <summary>The guard's sight of the bench, after each cycle.</summary>
    Snapshot,

    /// <summary>The answer to one request.</summary>
    Reply,

    /// <summary>A person does something with an alarm.</summary>
    Alarm,
}

/// <summary>What a client of the guard means to do.</summary>
public enum ClientRole : byte
{
    /// <summary>Looks on, and may pass on what people ask.</summary>
    Watcher,

    /// <summary>Asks for pressure. There is at most one.</summary>
    Sequencer,
}
