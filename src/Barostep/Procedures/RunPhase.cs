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
    Ramping,
    Stepping,
    Venting,
    WaitingForOperator,
    Completed,
    Aborted,
    Tripped,
}
