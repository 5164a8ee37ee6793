using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Daemon;

/// <summary>What the program's exit code tells a script.</summary>
internal static class ExitCodes
{
    /// <summary>Done, and the device passed where a decision was made.</summary>
    public const int Done = 0;

    /// <summary>Done, and the device failed its tolerance.</summary>
    public const int DeviceFailed = 1;

    /// <summary>Usage or configuration error, or refused before any pressure but that of the dump valve's test.</summary>
    public const int Refused = 2;

    /// <summary>The run was tripped, or given up because the bench did not behave.</summary>
    public const int Tripped = 3;

    /// <summary>An instrument or its line failed.</summary>
    public const int InstrumentFailure = 4;

    /// <summary>A journal or a record does not verify.</summary>
    public const int NotVerified = 5;

    /// <summary>Stopped by the operator.</summary>
    public const int Stopped = 130;

    /// <summary>The code for a finished run.</summary>
    public static int Of(RunResult result) => result.Record.Outcome switch
    {
        RunOutcome.Completed => result.Conformity == Conformity.Failed ? DeviceFailed : Done,
        RunOutcome.Stopped => Stopped,
        RunOutcome.Aborted or RunOutcome.Tripped => Tripped,
        RunOutcome.Refused => Refused,
        RunOutcome.InstrumentFailure or RunOutcome.Incomplete => InstrumentFailure,
        _ => throw new ArgumentOutOfRangeException(nameof(result)),
    };
}
