using System.Collections.Immutable;
using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>What people are shown of a run.</summary>
/// <param name="Phase">Where it stands.</param>
/// <param name="Target">What the source is asked for.</param>
/// <param name="Step">Position in the plan, from 1.</param>
/// <param name="Steps">Length of the plan.</param>
/// <param name="PointsRead">Points read so far.</param>
/// <param name="Points">Points of the whole run.</param>
/// <param name="TimeLeftMicros">From what the finished steps took.</param>
public readonly record struct RunProgress(
    RunPhase Phase, Pressure Target, int Step, int Steps, int PointsRead, int Points, long TimeLeftMicros)
{
    /// <summary>What a person is asked now; null while nothing is.</summary>
    public Prompt? Prompt { get; init; }
}

/// <summary>The half that takes a device, or several on one manifold, through a procedure: it owns their lines, and can only ask for pressure.</summary>
public sealed class RunSession
{
    private readonly Sequencer _sequencer;
    private readonly DeviceReader?[] _readers;
    private readonly BarometerReader? _barometer;
    private readonly bool _needsBarometer;
    private IndicationReading _pointer;
    private SequencerState _state;

    /// <summary>Prepares a run; nothing is asked for before the first cycle.</summary>
    /// <param name="plan">What is done.</param>
    /// <param name="lines">The line of the leading device, or of the multimeter that reads it, then those of the devices beside it; null for one that a person reads.</param>
    /// <param name="epoch">Counts sequencer starts on this bench.</param>
    /// <param name="nowMicros">Now.</param>
    /// <param name="shunt">The resistor over which a current is read; null where the multimeter reads it itself.</param>
    /// <param name="barometer">The line of the bench's barometer; null where it has none.</param>
    /// <param name="referenceTells">What the reference counts from; null where that is what the devices count from.</param>
    public RunSession(
        RunPlan plan, IReadOnlyList<InstrumentDriver?> lines, uint epoch, long nowMicros, BenchShunt? shunt = null,
        InstrumentDriver? barometer = null, PressureReference? referenceTells = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(lines);
        ArgumentOutOfRangeException.ThrowIfNotEqual(lines.Count, plan.Beside.Count + 1);
        _sequencer = new Sequencer(plan, epoch);
        _readers = [.. plan.Beside.Prepend(plan).Zip(lines).Select(one => one.Second is { } line ? new DeviceReader(one.First, line, nowMicros, shunt) : null)];
        _barometer = barometer is null ? null : new BarometerReader(barometer, nowMicros);
        _needsBarometer = referenceTells is { } tells && plan.Beside.Prepend(plan).Any(one => one.Device.Reference != tells);
        _state = _sequencer.Begin(nowMicros);
    }

    public RunPlan Plan => _sequencer.Plan;

    public bool Ended => _state.Ended;

    /// <summary>What the leading device tells now.</summary>
    public IndicationReading Indication => _readers[0]?.Indication ?? _pointer;

    /// <summary>What the last cycle asked of the guard half.</summary>
    public Intent Intent { get; private set; }

    /// <summary>What a person is asked now; null while nobody is asked.</summary>
    public Prompt? Prompt => _state.Prompt;

    /// <summary>One cycle.</summary>
    /// <param name="bench">What the guard half told.</param>
    /// <param name="stopAsked">A person asked for the end of the run.</param>
    /// <param name="confirmed">Whatever the procedure wants confirmed is confirmed.</param>
    /// <param name="answer">What a person answered since the last cycle; null where nobody did.</param>
    /// <returns>What happened in it, oldest first.</returns>
    public ImmutableList<RunEvent> Cycle(in BenchSnapshot bench, bool stopAsked, bool confirmed, PersonAnswer? answer = null)
    {
        foreach (DeviceReader? reader in _readers)
            reader?.Collect();
        _barometer?.Collect();
        long now = bench.NowMicros;
        string? fault = _readers.Select(reader => reader?.Fault(now)).FirstOrDefault(found => found is not null)
            ?? (_needsBarometer ? _barometer?.Fault(now) : null);
        var seen = new SequencerInput(now, bench, Indication, fault, stopAsked, confirmed) { Answer = answer };
        if (_readers.Length > 1)
            seen = seen with { Beside = [.. _readers.Skip(1).Select(reader => reader?.Indication ?? default)] };
        SequencerStep step = _sequencer.Step(_state, seen);
        _state = step.State;
        Intent = step.Intent;
        foreach (RunEvent.Answered told in step.Events.OfType<RunEvent.Answered>())
            Show(told.Answer);
        // The room is told before what was read in it.
        return _barometer?.Take(now) is { } room ? step.Events.Insert(0, new RunEvent.RoomRead(room)) : step.Events;
    }

    /// <summary>What people are shown.</summary>
    public RunProgress Progress(in BenchSnapshot bench) => new(
        _state.Phase,
        _state.Target,
        Math.Min(_state.StepIndex + 1, Plan.Steps.Count),
        Plan.Steps.Count,
        _state.PointsRead,
        Plan.PointCount,
        _sequencer.TimeLeftMicros(_state, bench.NowMicros))
    {
        Prompt = _state.Prompt,
    };

    /// <summary>A pointer's place is shown like a reading that came over a line.</summary>
    private void Show(AnswerRecord answer)
    {
        if (answer.IndicationPascals is not { } pascals)
            return;
        Pressure zero = Plan.Device.Reference == PressureReference.Gauge ? Plan.Atmosphere : Pressure.Vacuum;
        _pointer = new IndicationReading(
            _pointer.Count + 1, (zero + PressureDifference.FromPascals(pascals)).Pascals,
            new ReplyText(System.Text.Encoding.UTF8.GetBytes(answer.Answer)), answer.AskedMicros, answer.AnsweredMicros);
    }
}
