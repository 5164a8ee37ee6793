namespace Barostep.Safety;

/// <summary>Why the kernel decided what it did. A closed set; <see cref="CausePolicy"/> says what each one leads to.</summary>
/// <remarks>Declared in order of first-out priority: of causes that appear in one cycle with one verdict, the earlier is named first.</remarks>
public enum Cause : byte
{
    None = 0,

    OverCeiling,
    UnderFloor,
    StopInputOpen,
    OperatorDump,
    RiseWhileIsolated,
    RepressurisedWhileSafe,
    VentFailed,
    RateTooHigh,
    WrongWay,
    InstrumentRestarted,
    UnitChanged,
    IdentityChanged,
    UpperLimitMismatch,
    ReadBackMismatch,
    SensorsDisagree,
    ReferenceLineLost,
    SourceLineLost,
    ReferenceStale,
    SourceStale,
    VentNotAcknowledged,
    RelayStuckShut,
    FrozenWhileMoving,
    TimeFault,
    InternalFault,
    UncleanStart,

    OperatorStop,
    IntentLapsed,
    RunGivenUp,
    NoResponse,
    CommandNotAcknowledged,
    SourceLeftControl,
    SensorFrozen,
    RelayNotShut,
    JournalFault,
    DiskLow,
    HeldTooOften,

    HeadingOverCeiling,
    HeadingUnderFloor,
    ProposalOverCeiling,
    ProposalUnderFloor,
    ProposalVoid,
    ReferenceLate,
    SourceLate,

    VentSlow,
    WallClockStepped,
    RequestRefused,
}
