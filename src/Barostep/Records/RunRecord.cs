using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Procedures.Settling;

namespace Barostep.Records;

public enum SeriesDirection
{
    Ascending,
    Descending,
}

public enum RunOutcome
{
    /// <summary>Still going, or ended without anyone being able to write how.</summary>
    Incomplete,
    Completed,
    Stopped,
    Aborted,
    Tripped,
    InstrumentFailure,

    /// <summary>The dump valve's test before the run failed: no more pressure than the test's was made.</summary>
    Refused,
}

/// <summary>One reading as it arrived: its characters, when it was asked for and when it was there.</summary>
/// <param name="Value">Pa in the device's own reference for a pressure, A for a current, V for a voltage.</param>
/// <param name="Raw">The characters that arrived, without the terminator.</param>
/// <param name="AskedMicros">When the request left, on the run's monotonic clock.</param>
/// <param name="AnsweredMicros">When the reply was complete.</param>
public sealed record RawReading(double Value, string Raw, long AskedMicros, long AnsweredMicros);

/// <summary>Reference and device read together.</summary>
/// <param name="Void">Set where a warning or worse was active; a void sample is kept and never averaged.</param>
public sealed record Sample(RawReading Reference, RawReading Indication, bool Void);

/// <summary>What was unusual about a point.</summary>
[Flags]
public enum PointMarks
{
    None = 0,
    Unsettled = 1,
    WrongApproach = 2,
    VoidSamples = 4,
}

/// <summary>One point as it was read.</summary>
/// <param name="Index">Position in the whole run, from 1.</param>
/// <param name="Cycle">From 1.</param>
/// <param name="NominalPascals">Nominal pressure, in the device's own reference.</param>
/// <param name="ReachedMicros">When the set point was first reached.</param>
/// <param name="SettledMicros">When the criterion was met, or the time-out came.</param>
public sealed record PointRecord(
    int Index,
    int Cycle,
    SeriesDirection Direction,
    double NominalPascals,
    long RequestedMicros,
    long ReachedMicros,
    long SettledMicros,
    PointMarks Marks,
    IReadOnlyList<Sample> Samples)
{
    /// <summary>Why it was read when it was; null for a procedure with the plain criterion.</summary>
    public SettlingDecision? Settling { get; init; }
}

/// <summary>The zero of the device, read vented.</summary>
public sealed record ZeroRecord(bool BeforeSeries, IReadOnlyList<Sample> Samples);

/// <summary>What the leak test found.</summary>
/// <param name="PressurePascals">Where it was tested, in the device's own reference.</param>
/// <param name="HoldMicros">How long the source was shut off.</param>
/// <param name="RatePascalsPerSecond">The constant part of the slope of the reference, or its slope over the second half of the hold; a fall is negative.</param>
/// <param name="LimitPascalsPerSecond">The largest magnitude that counts as tight.</param>
public sealed record LeakTestRecord(double PressurePascals, long HoldMicros, double RatePascalsPerSecond, double LimitPascalsPerSecond)
{
    /// <summary>What the gas itself did while it came to the temperature of the wall; null where no such part could be told from the leak.</summary>
    public ThermalPart? Thermal { get; init; }

    public bool Tight => Math.Abs(RatePascalsPerSecond) <= LimitPascalsPerSecond;
}

/// <summary>The part of a pressure's fall that fades: gas that cools, or warms, after it was compressed.</summary>
/// <param name="Pascals">Its size when the source was shut off; positive where the pressure fell.</param>
/// <param name="TimeConstantSeconds">In which it fades to 37 %.</param>
/// <param name="RateUncertainty">Standard uncertainty of the constant part beside it, Pa/s.</param>
public sealed record ThermalPart(double Pascals, double TimeConstantSeconds, double RateUncertainty);

/// <summary>Which of the two calibrations of a job a run is.</summary>
public enum JobStage
{
    /// <summary>Before anything was adjusted.</summary>
    AsFound,

    /// <summary>After an adjustment.</summary>
    AsLeft,
}

/// <summary>The job that a run was made for, as it was agreed at that time.</summary>
public sealed record JobUse(JobDefinition Job, JobStage Stage);

/// <summary>The surroundings of the bench at one moment; null where nothing tells it.</summary>
/// <param name="AtMicros">On the run's monotonic clock.</param>
/// <param name="RelativeHumidity">0 to 1.</param>
/// <param name="AtmospherePascals">Absolute.</param>
/// <param name="Instrument">Identity of what told it, or the name of the person who read it.</param>
public sealed record EnvironmentReading(
    long AtMicros,
    double? TemperatureCelsius,
    double? RelativeHumidity,
    double? AtmospherePascals,
    string Instrument);

/// <summary>Everything one run left behind, before any evaluation.</summary>
public sealed record RunRecord
{
    /// <summary>A version 7 UUID for real runs; derived from the seed in simulation, so that a run repeats byte for byte.</summary>
    public required string Id { get; init; }

    /// <summary>Wall clock at the start, UTC.</summary>
    public required DateTimeOffset StartedUtc { get; init; }

    public required DateTimeOffset EndedUtc { get; init; }

    public required string Bench { get; init; }

    public required DeviceDefinition Device { get; init; }

    public required Procedure Procedure { get; init; }

    /// <summary>Identity as each instrument told it, by role.</summary>
    public required IReadOnlyDictionary<string, string> Instruments { get; init; }

    public required bool Simulated { get; init; }

    /// <summary>Who did it; empty where nobody was named.</summary>
    public string PerformedBy { get; init; } = string.Empty;

    /// <summary>How reference and device were connected and read.</summary>
    public MeasuringArrangement Arrangement { get; init; } = MeasuringArrangement.Unknown;

    public required RunOutcome Outcome { get; init; }

    /// <summary>Why, in words, where the outcome is not <see cref="RunOutcome.Completed"/>.</summary>
    public required string OutcomeReason { get; init; }

    /// <summary>Whether the bench was confirmed vented at the end.</summary>
    public required bool VentConfirmed { get; init; }

    /// <summary>Null where the procedure asks for no leak test, or the run ended before it.</summary>
    public LeakTestRecord? LeakTest { get; init; }

    /// <summary>The reference standards at work, as their certificates described them; empty where the bench names none.</summary>
    public IReadOnlyList<StandardUse> Standards { get; init; } = [];

    /// <summary>Null where the run was made for no job.</summary>
    public JobUse? Job { get; init; }

    /// <summary>In the order in which they were told; empty where nothing tells them.</summary>
    public IReadOnlyList<EnvironmentReading> Environment { get; init; } = [];

    public required IReadOnlyList<ZeroRecord> Zeros { get; init; }

    public required IReadOnlyList<PointRecord> Points { get; init; }

    /// <summary>What people answered, in the order in which they did; empty where nobody was asked.</summary>
    public IReadOnlyList<AnswerRecord> Answers { get; init; } = [];

    /// <summary>Effective ceiling in Pa absolute during the run.</summary>
    public required double CeilingPascals { get; init; }

    /// <summary>The rule by which the device is judged: its job's, or its own.</summary>
    public DecisionAgreement Agreement => Job?.Job.Decision ?? Device.Decision;

    /// <summary>Highest pressure that any sensor told, Pa absolute.</summary>
    public required double HighestPascals { get; init; }

    /// <summary>Atmosphere that gauge values counted from, Pa absolute.</summary>
    public required double AtmospherePascals { get; init; }

    /// <summary>Hash of the last journal entry of the run, hexadecimal.</summary>
    public required string JournalHead { get; init; }

    public required string SoftwareVersion { get; init; }
}
