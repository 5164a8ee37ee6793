using Barostep.Configuration;
using Barostep.Control;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

/// <summary>
/// A bench played by hand around the sequencer, in steps of 50 ms: gas that follows the intent at its rate, a reference
/// and a device that are read in every step. What a story needs is put on top of the gas or of the input.
/// </summary>
internal sealed class Rehearsal
{
    public const long StepMicros = 50_000;
    private const long SafeAfterMicros = 1_000_000;

    private readonly Sequencer _sequencer;
    private long _count;
    private long _ventedSince = -1;
    private readonly double _lagSeconds;
    private double _pascals;
    private double _lagged;

    public Rehearsal(Procedure procedure, long startMicros = 1_000_000, DeviceDefinition? device = null, double lagSeconds = 0)
    {
        _lagSeconds = lagSeconds;
        Plan = Exercises.Plan(procedure, device);
        _sequencer = new Sequencer(Plan, 7);
        Now = startMicros;
        State = _sequencer.Begin(startMicros);
        _pascals = _lagged = Plan.Atmosphere.Pascals;
    }

    public RunPlan Plan { get; }

    public SequencerState State { get; private set; }

    public Intent Intent { get; private set; }

    public SequencerInput Seen { get; private set; }

    public long Now { get; private set; }

    public double LeakPascalsPerSecond { get; init; }

    /// <summary>How far from its target the source holds, Pa.</summary>
    public Func<Rehearsal, double>? Miss { get; set; }

    /// <summary>What is added to what the reference tells in this step, Pa.</summary>
    public Func<Rehearsal, double>? Disturbance { get; set; }

    public Func<SequencerInput, SequencerInput>? Change { get; set; }

    public List<RunEvent> Events { get; } = [];

    public List<(SequencerInput Seen, SequencerState State, Intent Intent)> Steps { get; } = [];

    public IReadOnlyList<PointRecord> Points => [.. Events.OfType<RunEvent.PointRead>().Select(e => e.Point)];

    public IReadOnlyList<RunPhase> Phases => [.. Events.OfType<RunEvent.PhaseEntered>().Select(e => e.Phase)];

    public RunEvent.Ended Ending => Assert.Single(Events.OfType<RunEvent.Ended>());

    /// <summary>Whether a point of the series is being done, and not what comes before.</summary>
    public bool InSeries => Doing(StepKind.Point);

    public long TimeLeftMicros => _sequencer.TimeLeftMicros(State, Now);

    /// <summary>Added to the device's output in this step, as a share of span.</summary>
    public Func<long, double>? Noise { get; init; }

    public static Rehearsal Whole(Procedure procedure, double lagSeconds = 0) => new Rehearsal(procedure, lagSeconds: lagSeconds).ToTheEnd();

    public bool Doing(StepKind kind) => State.StepIndex < Plan.Steps.Count && Plan.Steps[State.StepIndex].Kind == kind;

    /// <summary>Whether a point of the series, counted from 0, is in a phase.</summary>
    public bool AtPoint(int point, RunPhase phase) => State.StepIndex == Plan.StepOf(point) && State.Phase == phase;

    public Rehearsal ToTheEnd() => Until(r => r.State.Ended, 3_600);

    public Rehearsal UntilPhase(RunPhase phase, double withinSeconds = 600) => Until(r => r.State.Phase == phase, withinSeconds);

    public Rehearsal Run(double seconds)
    {
        for (long end = Now + (long)(seconds * 1e6); Now < end;)
            Step();
        return this;
    }

    public Rehearsal Until(Func<Rehearsal, bool> done, double withinSeconds)
    {
        for (long end = Now + (long)(withinSeconds * 1e6); !done(this);)
        {
            Assert.True(Now < end, $"not within {withinSeconds} s: {State.Phase}, step {State.StepIndex}, {_pascals:0} Pa, {State.OutcomeReason}");
            Step();
        }

        return this;
    }

    /// <summary>The step that would follow from here; nothing is changed.</summary>
    public SequencerStep Try(SequencerState state, in SequencerInput seen) => _sequencer.Step(state, seen);

    public void Step()
    {
        Now += StepMicros;
        Flow(StepMicros / 1e6);
        _lagged += (_lagSeconds == 0 ? 1 : 1 - Math.Exp(-StepMicros / 1e6 / _lagSeconds)) * (_pascals - _lagged);
        SequencerInput seen = Look();
        Seen = Change is null ? seen : Change(seen);
        SequencerStep step = _sequencer.Step(State, Seen);
        State = step.State;
        Intent = step.Intent;
        Events.AddRange(step.Events);
        Steps.Add((Seen, State, Intent));
    }

    private void Flow(double seconds)
    {
        if (Intent.Kind == IntentKind.Isolate)
        {
            _pascals -= LeakPascalsPerSecond * seconds;
            return;
        }

        bool holds = Intent.Kind == IntentKind.Pressurise;
        double goal = holds ? Intent.Target.Pascals + (Miss?.Invoke(this) ?? 0) : Plan.Atmosphere.Pascals;
        double most = (holds ? Intent.RateMilliPascalsPerSecond / 1000.0 : 400_000) * seconds;
        _pascals += Math.Clamp(goal - _pascals, -most, most);
    }

    private SequencerInput Look()
    {
        _count++;
        bool vented = Intent.Kind != IntentKind.Pressurise && Math.Abs(_pascals - Plan.Atmosphere.Pascals) < 1_000;
        _ventedSince = vented ? (_ventedSince < 0 ? Now : _ventedSince) : -1;
        bool depressurised = vented && Now - _ventedSince >= SafeAfterMicros;
        var reference = new SensorReading(
            ReadingQuality.Good, Pressure.FromPascals(_pascals + (Disturbance?.Invoke(this) ?? 0)), Now - 40_000, Now - 10_000, (ulong)_count, _count);
        var bench = new BenchSnapshot
        {
            Tick = _count,
            NowMicros = Now,
            Phase = depressurised ? GuardPhase.Safe : GuardPhase.Permitted,
            Depressurised = depressurised,
            Reference = reference,
            ReferenceRaw = new ReplyText(System.Text.Encoding.ASCII.GetBytes($"R{_count}")),
        };
        double share = ((_lagged - Plan.Atmosphere.Pascals) / Plan.Device.SpanPascals) + (Noise?.Invoke(_count) ?? 0);
        var device = new IndicationReading(
            _count, 0.004 + (0.016 * share), new ReplyText(System.Text.Encoding.ASCII.GetBytes($"D{_count}")), Now - 30_000, Now - 5_000);
        return new SequencerInput(Now, bench, device, null, false, false);
    }
}
