using System.Collections.Immutable;
using Barostep.Procedures.Prompts;
using Barostep.Procedures.Settling;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <summary>Everything that the sequencer remembers from one step to the next.</summary>
public sealed record SequencerState
{
    public RunPhase Phase { get; init; } = RunPhase.Idle;

    /// <summary>When this phase was entered.</summary>
    public long PhaseSinceMicros { get; init; }

    /// <summary>Position in the plan of the step that is being done.</summary>
    public int StepIndex { get; init; }

    /// <summary>Points read so far.</summary>
    public int PointsRead { get; init; }

    /// <summary>What the source is asked for while pressure is being held.</summary>
    public Pressure Target { get; init; }

    /// <summary>When the present approach was asked for.</summary>
    public long RequestedMicros { get; init; }

    /// <summary>When its target was first reached; 0 while it was not.</summary>
    public long ReachedMicros { get; init; }

    /// <summary>When the point counted as settled; 0 while it does not.</summary>
    public long SettledMicros { get; init; }

    /// <summary>Times that the point was passed and approached again.</summary>
    public int Reapproaches { get; init; }

    /// <summary>Going back to the near side before the next approach.</summary>
    public bool BackingOff { get; init; }

    /// <summary>What the approaches so far taught, and what they had taught when the present step began.</summary>
    public Landing Landing { get; init; }

    public Landing LandingBefore { get; init; }

    /// <summary>The pressure when the present step began.</summary>
    public Pressure ApproachFrom { get; init; }

    /// <summary>The present point is asked for in two, and the first of them is under way.</summary>
    public bool InTwo { get; init; }

    public bool FallingShort { get; init; }

    /// <summary>The leak test has shut the source off.</summary>
    public bool ShutOff { get; init; }

    public PointMarks Marks { get; init; }

    public StabilityWindow Window { get; init; } = StabilityWindow.Empty;

    /// <summary>How the device follows the pressure; null where the procedure does not ask.</summary>
    public SettlingModel? Model { get; init; }

    /// <summary>Pairs since the last point.</summary>
    public ImmutableList<TrailPair> Trail { get; init; } = [];

    /// <summary>What was still to come when the present reading began.</summary>
    public SettlingForecast? AtBeginning { get; init; }

    /// <summary>The next pair is the first of a reading.</summary>
    public bool ReadingBegins { get; init; }

    /// <summary>Count of the indication that was paired last.</summary>
    public long PairedCount { get; init; }

    public ImmutableList<Sample> Samples { get; init; } = [];

    /// <summary>Reference and pointer before the gauge was tapped; null before that was told, and for every other device.</summary>
    public Sample? BeforeTapping { get; init; }

    /// <summary>What a person is asked now; null while nothing is.</summary>
    public Prompt? Prompt { get; init; }

    /// <summary>Prompts so far: the number of the newest.</summary>
    public int Prompts { get; init; }

    public long NextSampleMicros { get; init; }

    /// <summary>What was taken of each device beside the leading one.</summary>
    public ImmutableList<BesideState> Beside { get; init; } = [];

    /// <summary>Count of the reference reading that was looked at last.</summary>
    public long ReferenceCount { get; init; }

    /// <summary>Count of the indication that was sampled last.</summary>
    public long IndicationCount { get; init; }

    public uint IntentSequence { get; init; }

    /// <summary>How the run is going to end, once that is known.</summary>
    public RunOutcome? Outcome { get; init; }

    public string OutcomeReason { get; init; } = string.Empty;

    /// <summary>Whether a line of the guard half was known to be at fault when the reason was put into words.</summary>
    public bool ReasonNamesLine { get; init; }

    /// <summary>Time that finished steps took, and what was expected of them: for the time left.</summary>
    public long SpentMicros { get; init; }

    public long ExpectedMicros { get; init; }

    /// <summary>When the present step was begun.</summary>
    public long StepSinceMicros { get; init; }

    /// <summary>Since when nobody could tell a vent: a line of the guard half is unusable, or the pressure does not fall; null while one could.</summary>
    public long? BlindSinceMicros { get; init; }

    /// <summary>Since when one could tell again, while that is not yet believed; null otherwise.</summary>
    public long? SightedSinceMicros { get; init; }

    /// <summary>Whether the newest intent asks for pressure.</summary>
    public bool AsksForPressure { get; init; }

    /// <summary>Since when the guard has not permitted the pressure that is asked for; null while it does, or none is.</summary>
    public long? DeniedSinceMicros { get; init; }

    public bool Ended => Phase is RunPhase.Completed or RunPhase.Aborted
        || (Phase == RunPhase.Tripped && VentResult is not null);

    /// <summary>Whether the vent after the run was confirmed; null before it is known.</summary>
    public bool? VentResult { get; init; }
}

/// <summary>What the sequencer remembers of a device beside the leading one.</summary>
public sealed record BesideState
{
    public ImmutableList<Sample> Samples { get; init; } = [];

    public long NextSampleMicros { get; init; }

    /// <summary>Count of the indication that was sampled last.</summary>
    public long IndicationCount { get; init; }

    /// <summary>Points read so far.</summary>
    public int PointsRead { get; init; }
}

/// <summary>What a run reports to those who keep and show it.</summary>
public abstract record RunEvent
{
    private RunEvent()
    {
    }

    public sealed record PhaseEntered(RunPhase Phase, long Micros) : RunEvent;

    public sealed record ZeroRead(ZeroRecord Zero) : RunEvent;

    public sealed record LeakTested(LeakTestRecord Result) : RunEvent;

    public sealed record PointRead(PointRecord Point) : RunEvent;

    /// <summary>The barometer told the atmosphere.</summary>
    public sealed record RoomRead(EnvironmentReading Reading) : RunEvent;

    /// <summary>Something of a device beside the leading one, counted from 0.</summary>
    public sealed record Beside(int Device, RunEvent Happened) : RunEvent;

    public sealed record Answered(AnswerRecord Answer) : RunEvent;

    public sealed record Ended(RunOutcome Outcome, string Reason, bool VentConfirmed) : RunEvent;
}

/// <summary>What came of one step.</summary>
public readonly record struct SequencerStep(SequencerState State, Intent Intent, ImmutableList<RunEvent> Events);
