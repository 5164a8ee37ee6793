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

/// <summary>The half that takes a device through a procedure: it owns the device's line, and can only ask for pressure.</summary>
public sealed class RunSession
{
    /// <summary>A device that was silent for this long is not there.</summary>
    private const long SilenceMicros = 5_000_000;

    private readonly Sequencer _sequencer;
    private readonly InstrumentDriver? _device;
    private readonly Capability _reads;
    private readonly double _unitsPerReading;
    private readonly long _beganMicros;
    private SequencerState _state;
    private IndicationReading _indication;
    private long _lastGoodMicros;

    /// <summary>Prepares a run; nothing is asked for before the first cycle.</summary>
    /// <param name="plan">What is done.</param>
    /// <param name="device">The line of the device under test, or of the multimeter that reads it; null where a person reads it.</param>
    /// <param name="epoch">Counts sequencer starts on this bench.</param>
    /// <param name="nowMicros">Now.</param>
    /// <param name="shunt">The resistor over which a current is read; null where the multimeter reads it itself.</param>
    public RunSession(RunPlan plan, InstrumentDriver? device, uint epoch, long nowMicros, BenchShunt? shunt = null)
    {
        _sequencer = new Sequencer(plan, epoch);
        _device = device;
        _reads = plan.Device.Output switch
        {
            DeviceOutput.Current => shunt is null ? Capability.ReadCurrent : Capability.ReadVoltage,
            DeviceOutput.Voltage => Capability.ReadVoltage,
            DeviceOutput.Digital or DeviceOutput.Dial => Capability.ReadPressure,
            _ => throw new ArgumentOutOfRangeException(nameof(plan)),
        };
        _unitsPerReading = plan.Device.Output == DeviceOutput.Current && shunt is not null ? 1 / shunt.OhmsAt20 : 1;
        _state = _sequencer.Begin(nowMicros);
        _beganMicros = nowMicros;
        _lastGoodMicros = nowMicros + SilenceMicros;
        device?.Poll(_reads, Math.Min(100_000, plan.Procedure.SampleIntervalMicros));
    }

    public RunPlan Plan => _sequencer.Plan;

    public bool Ended => _state.Ended;

    /// <summary>What the device tells now.</summary>
    public IndicationReading Indication => _indication;

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
        Collect();
        SequencerStep step = _sequencer.Step(
            _state,
            new SequencerInput(bench.NowMicros, bench, _indication, Fault(bench.NowMicros), stopAsked, confirmed) { Answer = answer });
        _state = step.State;
        Intent = step.Intent;
        foreach (RunEvent.Answered told in step.Events.OfType<RunEvent.Answered>())
            Show(told.Answer);
        return step.Events;
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
        _indication = new IndicationReading(
            _indication.Count + 1, (zero + PressureDifference.FromPascals(pascals)).Pascals,
            new ReplyText(System.Text.Encoding.UTF8.GetBytes(answer.Answer)), answer.AskedMicros, answer.AnsweredMicros);
    }

    private void Collect()
    {
        while (_device is not null && _device.TryTake(out ExchangeReport report))
        {
            // A line that was read for an earlier run still holds what the device of that run told.
            if (report.Capability != _reads || report.Outcome != ExchangeOutcome.Answered || report.AskedMicros < _beganMicros)
                continue;
            double value;
            if (_reads != Capability.ReadPressure)
                value = (double)report.Value * _unitsPerReading;
            else if (report.TryGetPressure(Plan.Atmosphere, out Pressure told))
                value = told.Pascals;
            else
                continue;
            _lastGoodMicros = report.AnsweredMicros;
            _indication = new IndicationReading(
                _indication.Count + 1, value, report.Reply, report.AskedMicros, report.AnsweredMicros);
        }
    }

    private string? Fault(long nowMicros)
    {
        if (_device is null)
            return null;
        string title = _device.Fitted.Definition.Title;
        if (_device.State == LinkState.WrongInstrument)
            return $"{title} on port {_device.IdentityProblem}";
        string name = $"{title} on port {_device.Fitted.Port}";
        if (nowMicros - _lastGoodMicros <= SilenceMicros)
            return null;
        return _device.State == LinkState.Closed ? $"{name}: the line is not open. {_device.LineTrouble}".TrimEnd() : $"{name}: no understandable answer";
    }
}
