namespace Barostep.Procedures;

/// <summary>Where a run stands.</summary>
public enum RunPhase
{
    Idle,
    Preloading,
    Zeroing,
    LeakTesting,
    Pressurising,
    Settling,
    Reading,
    Stepping,
    Venting,
    WaitingForOperator,
    Completed,
    Aborted,
    Tripped,
}
