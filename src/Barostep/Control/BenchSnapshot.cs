using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>What the guard half tells the sequencer half after each cycle. It permits nothing; it only informs.</summary>
public readonly record struct BenchSnapshot
{
    /// <summary>Number of the cycle.</summary>
    public long Tick { get; init; }

    /// <summary>Monotonic time of the cycle, µs.</summary>
    public long NowMicros { get; init; }

    public GuardPhase Phase { get; init; }

    public Verdict Verdict { get; init; }

    public CauseSet Causes { get; init; }

    /// <summary>First cause of what is latched; <see cref="Cause.None"/> while nothing is.</summary>
    public Cause FirstCause { get; init; }

    public uint TripNumber { get; init; }

    /// <summary>Whether every fitted sensor has proved the bench depressurised, whatever the phase.</summary>
    public bool Depressurised { get; init; }

    /// <summary>Whether a sample taken now is void.</summary>
    public bool SamplesVoid { get; init; }

    public Pressure EffectiveCeiling { get; init; }

    /// <summary>How the test of the dump valve before the run stands.</summary>
    public DumpTestState DumpTest { get; init; }

    /// <summary>The alarms as people see them.</summary>
    public AlarmSummary Alarms { get; init; }

    /// <summary>Newest reading of the reference standard.</summary>
    public SensorReading Reference { get; init; }

    /// <summary>The characters that carried it.</summary>
    public ReplyText ReferenceRaw { get; init; }

    /// <summary>Newest reading of the source's own sensor.</summary>
    public SensorReading SourceSensor { get; init; }

    /// <summary>Why a line of the guard half cannot be used; null while all can.</summary>
    public string? LineFault { get; init; }
}

/// <summary>The newest reading of the device under test.</summary>
/// <param name="Count">Readings since the start; 0 before the first.</param>
/// <param name="Value">A, V, or absolute Pa for a device that tells pressure.</param>
/// <param name="Raw">The characters that carried it.</param>
public readonly record struct IndicationReading(long Count, double Value, ReplyText Raw, long AskedMicros, long AnsweredMicros);
