namespace Barostep.Safety;

/// <summary>Where the alarm of one cause stands (SR-27). None of it changes what the kernel decides.</summary>
public enum AlarmState : byte
{
    Normal,

    ActiveUnacknowledged,

    ActiveAcknowledged,

    /// <summary>What raised it has gone; nobody has said that they saw it.</summary>
    ClearedUnacknowledged,

    /// <summary>Kept from people for a while, by name, for no longer than <see cref="AlarmPanel.LongestShelfMicros"/>.</summary>
    Shelved,

    /// <summary>Kept from people until somebody takes it back; shown and journalled as such.</summary>
    OutOfService,
}

/// <summary>The alarms of one bench as they are shown: five sets of causes, so that a record of fixed length can carry them.</summary>
/// <param name="Active">What is present, or latched by the kernel.</param>
/// <param name="Unacknowledged">What nobody has said to have seen.</param>
/// <param name="Shelved">What is kept back for a while.</param>
/// <param name="OutOfService">What is kept back until further notice.</param>
/// <param name="Consequences">What came after <paramref name="First"/> and while that lasted.</param>
/// <param name="First">The alarm to look at; <see cref="Cause.None"/> where there is none.</param>
/// <param name="Flood">More alarms within ten minutes than a person can follow (SR-28).</param>
public readonly record struct AlarmSummary(
    CauseSet Active, CauseSet Unacknowledged, CauseSet Shelved, CauseSet OutOfService, CauseSet Consequences, Cause First, bool Flood)
{
    public AlarmState StateOf(Cause cause) => (Active.Contains(cause), Unacknowledged.Contains(cause)) switch
    {
        _ when OutOfService.Contains(cause) => AlarmState.OutOfService,
        _ when Shelved.Contains(cause) => AlarmState.Shelved,
        (true, true) => AlarmState.ActiveUnacknowledged,
        (true, false) => AlarmState.ActiveAcknowledged,
        (false, true) => AlarmState.ClearedUnacknowledged,
        (false, false) => AlarmState.Normal,
    };
}

/// <summary>What a person does with an alarm. To acknowledge an alarm is to have seen it; to acknowledge a trip is another thing.</summary>
public enum AlarmAction : byte
{
    /// <summary>All that is unacknowledged has been seen.</summary>
    Acknowledge,

    /// <summary>Keep one back for a while.</summary>
    Shelve,

    /// <summary>Keep one back until further notice.</summary>
    TakeOutOfService,

    /// <summary>Show a kept one again.</summary>
    Return,
}
