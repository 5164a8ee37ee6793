using System.Collections.Immutable;
using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Procedures;
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
    RunPhase Phase, Pressure Target, int Step, int Steps, int PointsRead, int Points, long TimeLeftMicros);

/// <summary>The half that takes a device, or several on one manifold, through a procedure: it owns their lines, and can only ask for pressure.</summary>
public sealed class RunSession
{
    private readonly Sequencer _sequencer;
    private readonly DeviceReader[] _readers;
    private readonly BarometerReader? _barometer;
    private readonly bool _needsBarometer;
    private SequencerState _state;

    /// <summary>Prepares a run; nothing is asked for before the first cycle.</summary>
    /// <param name="plan">What is done.</param>
    /// <param name="lines">The line of the leading device, or of the multimeter that reads it, then those of the devices beside it.</param>
    /// <param name="epoch">Counts sequencer starts on this bench.</param>
    /// <param name="nowMicros">Now.</param>
    /// <param name="shunt">The resistor over which a current is read; null where the multimeter reads it itself.</param>
    /// <param name="barometer">The line of the bench's barometer; null where it has none.</param>
    /// <param name="referenceTells">What the reference counts from; null where that is what the devices count from.</param>
    public RunSession(
        RunPlan plan, IReadOnlyList<InstrumentDriver> lines, uint epoch, long nowMicros, BenchShunt? shunt = null,
        InstrumentDriver? barometer = null, PressureReference? referenceTells = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(lines);
        ArgumentOutOfRangeException.ThrowIfNotEqual(lines.Count, plan.Beside.Count + 1);
        _sequencer = new Sequencer(plan, epoch);
        _readers = [.. plan.Beside.Prepend(plan).Zip(lines).Select(one => new DeviceReader(one.First, one.Second, nowMicros, shunt))];
        _barometer = barometer is null ? null : new BarometerReader(barometer, nowMicros);
        _needsBarometer = referenceTells is { } tells && plan.Beside.Prepend(plan).Any(one => one.Device.Reference != tells);
        _state = _sequencer.Begin(nowMicros);
    }

    public RunPlan Plan => _sequencer.Plan;

    public bool Ended => _state.Ended;

    /// <summary>What the leading device tells now.</summary>
    public IndicationReading Indication => _readers[0].Indication;

    /// <summary>What the last cycle asked of the guard half.</summary>
    public Intent Intent { get; private set; }

    /// <summary>What a person is asked to confirm now; null while nobody is asked.</summary>
    public string? Asks => _state.Phase == RunPhase.WaitingForOperator && _state.StepIndex < Plan.Steps.Count
        ? Plan.Steps[_state.StepIndex].Request
        : null;

    /// <summary>One cycle.</summary>
    /// <param name="bench">What the guard half told.</param>
    /// <param name="stopAsked">A person asked for the end of the run.</param>
    /// <param name="confirmed">A person confirmed what they were asked.</param>
    /// <returns>What happened in it, oldest first.</returns>
    public ImmutableList<RunEvent> Cycle(in BenchSnapshot bench, bool stopAsked, bool confirmed)
    {
        foreach (DeviceReader reader in _readers)
            reader.Collect();
        _barometer?.Collect();
        long now = bench.NowMicros;
        string? fault = _readers.Select(reader => reader.Fault(now)).FirstOrDefault(found => found is not null)
            ?? (_needsBarometer ? _barometer?.Fault(now) : null);
        var seen = new SequencerInput(now, bench, Indication, fault, stopAsked, confirmed);
        if (_readers.Length > 1)
            seen = seen with { Beside = [.. _readers.Skip(1).Select(reader => reader.Indication)] };
        SequencerStep step = _sequencer.Step(_state, seen);
        _state = step.State;
        Intent = step.Intent;
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
        _sequencer.TimeLeftMicros(_state, bench.NowMicros));
}
