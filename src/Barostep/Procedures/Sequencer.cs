using System.Collections.Immutable;
using Barostep.Control;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <summary>What the sequencer half sees in one cycle.</summary>
/// <param name="NowMicros">Now, on the monotonic clock.</param>
/// <param name="Bench">What the guard half told last.</param>
/// <param name="Indication">Newest reading of the device under test.</param>
/// <param name="IndicationFault">Why the device or its multimeter cannot be read; null while it can.</param>
/// <param name="StopAsked">A person asked for the end of the run.</param>
/// <param name="Confirmed">Whatever the procedure wants confirmed is confirmed: a simulated person does what is asked.</param>
public readonly record struct SequencerInput(
    long NowMicros,
    BenchSnapshot Bench,
    IndicationReading Indication,
    string? IndicationFault,
    bool StopAsked,
    bool Confirmed)
{
    /// <summary>Newest readings of the devices beside the leading one, in the order of the plan.</summary>
    public ImmutableArray<IndicationReading> Beside { get; init; } = [];
    /// <summary>What a person answered since the last step; null where nobody did.</summary>
    public PersonAnswer? Answer { get; init; }
}

/// <summary>Takes a run through its plan, one pure step a cycle: state and sight in, state and intent out.</summary>
public sealed partial class Sequencer(RunPlan plan, uint epoch)
{
    /// <summary>Time for every instrument to say who it is before the run is given up.</summary>
    private const long ReadyTimeoutMicros = 10_000_000;

    private readonly RunPhases _phases = new();

    /// <summary>The plan that is followed.</summary>
    public RunPlan Plan => plan;

    /// <summary>The state before the first step.</summary>
    public SequencerState Begin(long nowMicros) => new()
    {
        Target = plan.Atmosphere,
        PhaseSinceMicros = nowMicros,
        Beside = [.. plan.Beside.Select(_ => new BesideState())],
    };

    /// <summary>One step. Calling it after the end changes nothing.</summary>
    public SequencerStep Step(SequencerState state, in SequencerInput seen)
    {
        if (state.Ended)
        {
            Intent vent = Ask(ref state, IntentKind.Vent, seen);
            return new SequencerStep(state with { Prompt = null }, vent, []);
        }

        state = Paired(Answered(WithLineNamed(Sighted(state, seen), seen), seen), seen);
        Progress next = Interruption(state, seen) ?? Unanswered(state, seen) ?? state.Phase switch
        {
            RunPhase.Idle => Idle(state, seen),
            RunPhase.Venting => Venting(state, seen),
            RunPhase.Stepping => Stepping(state, seen),
            RunPhase.WaitingForOperator => Waiting(state, seen),
            RunPhase.Zeroing => Zeroing(state, seen),
            RunPhase.Preloading => Preloading(state, seen),
            RunPhase.LeakTesting => LeakTesting(state, seen),
            RunPhase.Pressurising => Pressurising(state, seen),
            RunPhase.Settling => Settling(state, seen),
            RunPhase.Reading => Reading(state, seen),
            RunPhase.Ramping => Ramping(state, seen),
            RunPhase.Tripped => Tripped(state, seen),
            _ => throw new InvalidOperationException($"the sequencer has no step for phase {state.Phase}"),
        };

        SequencerState after = next.State with { ReferenceCount = seen.Bench.Reference.Count };
        Intent intent = Ask(ref after, Wanted(after), seen);
        after = WithPrompt(after, seen);
        return new SequencerStep(after, intent, next.Events);
    }

    /// <summary>Time until the run's end, from what its steps took so far.</summary>
    public long TimeLeftMicros(SequencerState state, long nowMicros)
    {
        if (state.Ended || state.Outcome is not null)
            return 0;
        double slowness = state.ExpectedMicros > 0 ? (double)state.SpentMicros / state.ExpectedMicros : 1;
        long elapsed = state.StepSinceMicros > 0 ? nowMicros - state.StepSinceMicros : 0;
        // A step that takes longer than expected takes nothing from those after it.
        long left = SettlingMicros(state) ?? Math.Max(0, (long)(ExpectedMicros(state.StepIndex) * slowness) - elapsed);
        for (int i = state.StepIndex + 1; i < plan.Steps.Count; i++)
            left += (long)(ExpectedMicros(i) * slowness);
        return left;
    }

    private long ExpectedMicros(int index) => index >= plan.Steps.Count
        ? 0
        : plan.ExpectedMicros(plan.Steps[index], index == 0 ? plan.Atmosphere : plan.Steps[index - 1].Target);

    private static RunOutcome OutcomeOf(Cause cause) => cause switch
    {
        Cause.OperatorStop or Cause.OperatorDump => RunOutcome.Stopped,
        Cause.ReferenceLineLost or Cause.SourceLineLost or Cause.ReferenceStale or Cause.SourceStale
            or Cause.ReferenceLate or Cause.SourceLate or Cause.VentNotAcknowledged or Cause.CommandNotAcknowledged
            or Cause.IdentityChanged => RunOutcome.InstrumentFailure,
        Cause.SelfTestFailed => RunOutcome.Refused,
        _ => RunOutcome.Tripped,
    };

    private static IntentKind Wanted(SequencerState state) => state.Phase switch
    {
        RunPhase.Idle => IntentKind.None,
        RunPhase.Pressurising or RunPhase.Settling or RunPhase.Reading or RunPhase.Preloading or RunPhase.Ramping => IntentKind.Pressurise,
        RunPhase.LeakTesting => state.ShutOff ? IntentKind.Isolate : IntentKind.Pressurise,
        RunPhase.Stepping => IntentKind.None,
        RunPhase.Venting when state.Outcome is RunOutcome.Aborted or RunOutcome.InstrumentFailure => IntentKind.Abort,
        _ => IntentKind.Vent,
    };

    private static Progress Stay(SequencerState state) => new(state, []);

    private Intent Ask(ref SequencerState state, IntentKind kind, in SequencerInput seen)
    {
        bool vented = state.StepIndex < plan.Steps.Count && plan.Steps[state.StepIndex].ByVent && !state.BackingOff;
        // Between two steps the last wish stands: a pause would let the pressure go for one cycle.
        if (kind == IntentKind.None && state.Phase != RunPhase.Idle)
            kind = state.Target != plan.Atmosphere && !vented ? IntentKind.Pressurise : IntentKind.Vent;
        else if (kind == IntentKind.Pressurise && vented)
            kind = IntentKind.Vent;
        state = state with
        {
            IntentSequence = state.IntentSequence + 1,
            AsksForPressure = kind is IntentKind.Pressurise or IntentKind.Isolate,
        };
        long rate = (long)(RateNow(state) * 1000);
        return new Intent(epoch, state.IntentSequence, kind, state.Target, rate, seen.NowMicros);
    }

    private double RateOf(SequencerState state) =>
        state.StepIndex < plan.Steps.Count && plan.Steps[state.StepIndex].RatePascalsPerSecond is > 0 and var own
            ? own
            : plan.Procedure.RateOfSpanPerSecond * plan.Device.SpanPascals;

    private Progress? Interruption(SequencerState state, in SequencerInput seen)
    {
        BenchSnapshot bench = seen.Bench;
        if (state.Phase == RunPhase.Tripped)
            return null;
        if (bench.Phase == GuardPhase.Tripped)
            return End(state, RunTrigger.Trip, OutcomeOfTrip(bench), Explain(bench.FirstCause, bench), seen);
        if (state.Outcome is not null)
            return null;
        if (seen.StopAsked)
            return End(state, RunTrigger.Stop, RunOutcome.Stopped, "stopped by the operator", seen);
        if (state.Phase == RunPhase.Idle)
            return null;
        if (bench.Verdict >= Verdict.Abort)
        {
            RunOutcome outcome = OutcomeOf(bench.FirstCause) is RunOutcome.Tripped ? RunOutcome.Aborted : OutcomeOf(bench.FirstCause);
            return End(state, RunTrigger.Abort, outcome, Explain(bench.FirstCause, bench), seen);
        }

        if (seen.IndicationFault is { } fault)
            return End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, fault, seen);
        return Denied(state, seen);
    }

    private static string Explain(Cause cause, in BenchSnapshot bench)
    {
        string text = CausePolicy.Of(cause).What;
        return bench.LineFault is { } fault ? $"{text} ({fault})" : text;
    }

    private Progress Idle(SequencerState state, in SequencerInput seen)
    {
        string? fault = seen.Bench.LineFault ?? seen.IndicationFault
            ?? (seen.Bench.Reference.IsGood && (seen.Indication.Count > 0 || plan.Device.Dial is not null) && seen.Beside.All(one => one.Count > 0)
                ? null
                : "not every instrument has given a reading");
        if (fault is null)
            return Enter(state, RunTrigger.Start, seen);
        return seen.NowMicros - state.PhaseSinceMicros > ReadyTimeoutMicros
            ? End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, fault, seen)
            : Stay(state);
    }

    private Progress Stepping(SequencerState state, in SequencerInput seen)
    {
        if (state.StepIndex >= plan.Steps.Count)
            return End(state, RunTrigger.EndRun, RunOutcome.Completed, string.Empty, seen);
        PlannedStep step = plan.Steps[state.StepIndex];
        if (step.ByVent && !state.BackingOff && !seen.Bench.Depressurised)
            return Enter(state, RunTrigger.VentForStep, seen);
        SequencerState begun = state with
        {
            Target = state.BackingOff ? BackOffTarget(step) : step.Target,
            RequestedMicros = seen.NowMicros,
            ReachedMicros = 0,
            SettledMicros = 0,
            ShutOff = false,
            Window = StabilityWindow.Empty,
            Samples = [],
            Beside = Sampling.Cleared(state.Beside, 0),
            BeforeTapping = null,
        };
        return Enter(Aimed(begun, seen), BeginOf(step.Kind), seen);
    }

    private static RunTrigger BeginOf(StepKind kind) => kind switch
    {
        StepKind.Confirm => RunTrigger.BeginConfirmation,
        StepKind.Zero => RunTrigger.BeginZero,
        StepKind.Preload or StepKind.Probe => RunTrigger.BeginPreload,
        StepKind.LeakTest => RunTrigger.BeginLeakTest,
        StepKind.Point => RunTrigger.BeginPoint,
        StepKind.Ramp => RunTrigger.BeginRamp,
        _ => throw new InvalidOperationException($"step kind {kind} has no beginning"),
    };

    private Progress StepDone(SequencerState state, RunTrigger trigger, in SequencerInput seen)
    {
        PlannedStep step = plan.Steps[state.StepIndex];
        Pressure from = state.StepIndex > 0 ? plan.Steps[state.StepIndex - 1].Target : plan.Atmosphere;
        // A person's pause says nothing of how long the gas takes.
        bool counts = step.Kind != StepKind.Confirm && state.StepSinceMicros > 0;
        return Enter(
            state with
            {
                StepIndex = state.StepIndex + 1,
                StepSinceMicros = seen.NowMicros,
                SpentMicros = state.SpentMicros + (counts ? seen.NowMicros - state.StepSinceMicros : 0),
                ExpectedMicros = state.ExpectedMicros + (counts ? plan.ExpectedMicros(step, from) : 0),
                Marks = PointMarks.None,
                Reapproaches = 0,
                BackingOff = false,
            },
            trigger,
            seen);
    }

    private Progress End(SequencerState state, RunTrigger trigger, RunOutcome outcome, string reason, in SequencerInput seen) =>
        Enter(
            state with
            {
                Outcome = outcome,
                OutcomeReason = reason,
                ReasonNamesLine = seen.Bench.LineFault is not null,
                Target = plan.Atmosphere,
                BackingOff = false,
            },
            trigger,
            seen);

    private Progress Enter(SequencerState state, RunTrigger trigger, in SequencerInput seen)
    {
        RunPhase phase = _phases.Next(state.Phase, trigger);
        SequencerState entered = state with { Phase = phase, PhaseSinceMicros = seen.NowMicros };
        return new Progress(entered, [new RunEvent.PhaseEntered(phase, seen.NowMicros)]);
    }

    private readonly record struct Progress(SequencerState State, ImmutableList<RunEvent> Events)
    {
        public Progress With(RunEvent happened) => new(State, Events.Insert(0, happened));

        public Progress With(IEnumerable<RunEvent> happened) => new(State, Events.InsertRange(0, happened));
    }
}
