using System.Collections.Immutable;
using Barostep.Control;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <summary>What the sequencer half sees in one cycle.</summary>
/// <param name="NowMicros">Now, on the monotonic clock.</param>
/// <param name="Bench">What the guard half told last.</param>
/// <param name="Indication">Newest reading of the device under test.</param>
/// <param name="IndicationFault">Why the device or its multimeter cannot be read; null while it can.</param>
/// <param name="StopAsked">A person asked for the end of the run.</param>
/// <param name="Confirmed">A person confirmed what they were asked.</param>
public readonly record struct SequencerInput(
    long NowMicros,
    BenchSnapshot Bench,
    IndicationReading Indication,
    string? IndicationFault,
    bool StopAsked,
    bool Confirmed);

/// <summary>Takes a run through its plan, one pure step a cycle: state and sight in, state and intent out.</summary>
public sealed class Sequencer(RunPlan plan, uint epoch)
{
    /// <summary>The guard judges a vent by the gas; this only keeps a run from waiting for ever.</summary>
    private const long VentTimeoutMicros = 300_000_000;

    /// <summary>With a line gone nobody can tell whether the bench is vented; waiting longer will not show it.</summary>
    private const long BlindVentTimeoutMicros = 30_000_000;

    /// <summary>Time for every instrument to say who it is before the run is given up.</summary>
    private const long ReadyTimeoutMicros = 10_000_000;

    /// <summary>A device that answers more slowly than this is not being read at one moment with the reference.</summary>
    private const long PairingMicros = 500_000;

    /// <summary>A device that gave no sample for an interval and this is taken to have stopped answering.</summary>
    private const long SampleGraceMicros = 15_000_000;

    /// <summary>How far behind the point the next approach starts, in allowed overshoots.</summary>
    private const double BackOffOvershoots = 5;

    private readonly RunPhases _phases = new();

    /// <summary>The plan that is followed.</summary>
    public RunPlan Plan => plan;

    /// <summary>The state before the first step.</summary>
    public SequencerState Begin(long nowMicros) => new() { Target = plan.Atmosphere, PhaseSinceMicros = nowMicros };

    /// <summary>One step. Calling it after the end changes nothing.</summary>
    public SequencerStep Step(SequencerState state, in SequencerInput seen)
    {
        if (state.Ended)
        {
            Intent vent = Ask(ref state, IntentKind.Vent, seen);
            return new SequencerStep(state, vent, []);
        }

        state = Sighted(state, seen);
        Progress next = Interruption(state, seen) ?? state.Phase switch
        {
            RunPhase.Idle => Idle(state, seen),
            RunPhase.Venting => Venting(state, seen),
            RunPhase.Stepping => Stepping(state, seen),
            RunPhase.WaitingForOperator => seen.Confirmed ? StepDone(state, RunTrigger.Confirmed, seen) : Stay(state),
            RunPhase.Zeroing => Zeroing(state, seen),
            RunPhase.Preloading => Preloading(state, seen),
            RunPhase.LeakTesting => LeakTesting(state, seen),
            RunPhase.Pressurising => Pressurising(state, seen),
            RunPhase.Settling => Settling(state, seen),
            RunPhase.Reading => Reading(state, seen),
            RunPhase.Tripped => Tripped(state, seen),
            _ => throw new InvalidOperationException($"the sequencer has no step for phase {state.Phase}"),
        };

        SequencerState after = next.State with { ReferenceCount = seen.Bench.Reference.Count };
        Intent intent = Ask(ref after, Wanted(after), seen);
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
        long left = Math.Max(0, (long)(ExpectedMicros(state.StepIndex) * slowness) - elapsed);
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
        _ => RunOutcome.Tripped,
    };

    private static IntentKind Wanted(SequencerState state) => state.Phase switch
    {
        RunPhase.Pressurising or RunPhase.Settling or RunPhase.Reading or RunPhase.Preloading => IntentKind.Pressurise,
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
        if (kind == IntentKind.None)
            kind = state.Target != plan.Atmosphere && !vented ? IntentKind.Pressurise : IntentKind.Vent;
        else if (kind == IntentKind.Pressurise && vented)
            kind = IntentKind.Vent;
        state = state with { IntentSequence = state.IntentSequence + 1 };
        long rate = (long)(plan.Procedure.RateOfSpanPerSecond * plan.Device.SpanPascals * 1000);
        return new Intent(epoch, state.IntentSequence, kind, state.Target, rate, seen.NowMicros);
    }

    private Progress? Interruption(SequencerState state, in SequencerInput seen)
    {
        BenchSnapshot bench = seen.Bench;
        if (state.Phase == RunPhase.Tripped)
            return null;
        if (bench.Phase == GuardPhase.Tripped)
            return End(state, RunTrigger.Trip, OutcomeOf(bench.FirstCause), Explain(bench.FirstCause, bench), seen);
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

        return seen.IndicationFault is { } fault
            ? End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, fault, seen)
            : null;
    }

    private static string Explain(Cause cause, in BenchSnapshot bench)
    {
        string text = CausePolicy.Of(cause).What;
        return bench.LineFault is { } fault ? $"{text} ({fault})" : text;
    }

    private Progress Idle(SequencerState state, in SequencerInput seen)
    {
        string? fault = seen.Bench.LineFault ?? seen.IndicationFault
            ?? (seen.Bench.Reference.IsGood && seen.Indication.Count > 0 ? null : "not every instrument has given a reading");
        if (fault is null)
            return Enter(state, RunTrigger.Start, seen);
        return seen.NowMicros - state.PhaseSinceMicros > ReadyTimeoutMicros
            ? End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, fault, seen)
            : Stay(state);
    }

    private static SequencerState Sighted(SequencerState state, in SequencerInput seen)
    {
        bool blind = seen.Bench.LineFault is not null;
        return blind == state.BlindSinceMicros is not null
            ? state
            : state with { BlindSinceMicros = blind ? seen.NowMicros : null };
    }

    /// <summary>A line that only blinked does not count: the vent can be seen again.</summary>
    private static bool VentGivenUp(SequencerState state, in SequencerInput seen) =>
        seen.NowMicros - state.PhaseSinceMicros > VentTimeoutMicros
        || (state.BlindSinceMicros is { } since && seen.NowMicros - Math.Max(since, state.PhaseSinceMicros) > BlindVentTimeoutMicros);

    private Progress Venting(SequencerState state, in SequencerInput seen)
    {
        bool confirmed = seen.Bench.Depressurised;
        if (!confirmed && !VentGivenUp(state, seen))
            return Stay(state);
        if (state.Outcome is not { } outcome)
        {
            if (confirmed)
                return Enter(state, RunTrigger.Vented, seen);
            return seen.Bench.LineFault is { } fault
                ? End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, fault, seen)
                : End(state, RunTrigger.Abort, RunOutcome.Aborted, "the bench did not vent within five minutes", seen);
        }

        RunTrigger trigger = outcome == RunOutcome.Completed ? RunTrigger.RunCompleted : RunTrigger.RunAborted;
        return Finish(Enter(state, trigger, seen), outcome, confirmed);
    }

    private static Progress Tripped(SequencerState state, in SequencerInput seen)
    {
        return seen.Bench.Depressurised || VentGivenUp(state, seen)
            ? Finish(Stay(state), state.Outcome ?? RunOutcome.Tripped, seen.Bench.Depressurised)
            : Stay(state);
    }

    private static Progress Finish(Progress progress, RunOutcome outcome, bool confirmed) => new(
        progress.State with { VentResult = confirmed },
        progress.Events.Add(new RunEvent.Ended(outcome, progress.State.OutcomeReason, confirmed)));

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
        };
        return Enter(begun, BeginOf(step.Kind), seen);
    }

    private static RunTrigger BeginOf(StepKind kind) => kind switch
    {
        StepKind.Confirm => RunTrigger.BeginConfirmation,
        StepKind.Zero => RunTrigger.BeginZero,
        StepKind.Preload => RunTrigger.BeginPreload,
        StepKind.LeakTest => RunTrigger.BeginLeakTest,
        StepKind.Point => RunTrigger.BeginPoint,
        _ => throw new InvalidOperationException($"step kind {kind} has no beginning"),
    };

    private Progress Zeroing(SequencerState state, in SequencerInput seen)
    {
        if (seen.NowMicros - state.PhaseSinceMicros < plan.Procedure.Settle.MinimumDwellMicros)
            return Stay(state);
        SequencerState sampled = Sample(state, seen);
        if (sampled.Samples.Count < plan.Procedure.Samples)
            return StillAnswering(sampled, seen, plan.Procedure.Settle.MinimumDwellMicros);
        bool before = state.PointsRead == 0;
        return StepDone(sampled, RunTrigger.SamplesTaken, seen)
            .With(new RunEvent.ZeroRead(new ZeroRecord(before, sampled.Samples)));
    }

    private Progress Preloading(SequencerState state, in SequencerInput seen)
    {
        if (state.ReachedMicros == 0)
            return Reached(state, seen) ? Stay(state with { ReachedMicros = seen.NowMicros }) : InTime(state, seen);
        return seen.NowMicros - state.ReachedMicros >= plan.Procedure.PreloadHoldMicros
            ? StepDone(state, RunTrigger.StepDone, seen)
            : Stay(state);
    }

    private Progress LeakTesting(SequencerState state, in SequencerInput seen)
    {
        LeakTest test = plan.Procedure.LeakTest!;
        if (state.ReachedMicros == 0)
            return Reached(state, seen) ? Stay(state with { ReachedMicros = seen.NowMicros }) : InTime(state, seen);
        long held = seen.NowMicros - state.ReachedMicros - test.SettleMicros;
        if (held < 0)
            return Stay(state);
        SequencerState shut = Watch(state with { ShutOff = true }, seen, test.HoldMicros / 2);
        return held < test.HoldMicros ? Stay(shut) : LeakTested(shut, test, seen);
    }

    private Progress LeakTested(SequencerState state, LeakTest test, in SequencerInput seen)
    {
        if (!state.Window.Covers(test.HoldMicros / 2))
        {
            string reason = seen.Bench.LineFault ?? "the reference gave too few readings during the leak test";
            return End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, reason, seen);
        }

        double limit = test.LimitOfSpanPerMinute * plan.Device.SpanPascals / 60;
        var result = new LeakTestRecord(
            plan.InDeviceReference(state.Target), test.HoldMicros, state.Window.SlopePerSecond(), limit);
        Progress next = result.Tight
            ? StepDone(state, RunTrigger.StepDone, seen)
            : End(state, RunTrigger.Abort, RunOutcome.Aborted, "the bench is not tight: the leak test failed", seen);
        return next.With(new RunEvent.LeakTested(result));
    }

    private Progress Pressurising(SequencerState state, in SequencerInput seen)
    {
        SequencerState watched = Watch(state, seen, plan.Procedure.Settle.WindowMicros);
        if (state.BackingOff)
        {
            return Reached(state, seen)
                ? Stay(watched with { BackingOff = false, Target = plan.Steps[state.StepIndex].Target, RequestedMicros = seen.NowMicros })
                : InTime(watched, seen);
        }

        if (Overshot(watched, seen))
            return Passed(watched, seen);
        if (Reached(state, seen))
            return Enter(watched with { ReachedMicros = seen.NowMicros }, RunTrigger.TargetReached, seen);
        return TimedOut(watched, seen) ? GiveUpWaiting(watched with { ReachedMicros = seen.NowMicros }, seen) : Stay(watched);
    }

    private Progress Settling(SequencerState state, in SequencerInput seen)
    {
        StabilityCriterion settle = plan.Procedure.Settle;
        SequencerState watched = Watch(state, seen, settle.WindowMicros);
        if (Overshot(watched, seen))
            return Passed(watched, seen);
        bool vented = plan.Steps[state.StepIndex].ByVent;
        // Vented, the gas is where the weather puts it: only its slope says whether it has come to rest.
        double band = vented ? double.PositiveInfinity : settle.BandOfSpan * plan.Device.SpanPascals;
        bool stable = watched.Window.IsStable(
            state.Target.Pascals, band, settle.WindowMicros, settle.SlopeOfSpanPerSecond * plan.Device.SpanPascals);
        if (stable && seen.NowMicros - state.ReachedMicros >= settle.MinimumDwellMicros)
            return BeginReading(watched, RunTrigger.Settled, seen);
        return TimedOut(watched, seen) ? GiveUpWaiting(watched, seen) : Stay(watched);
    }

    private Progress Reading(SequencerState state, in SequencerInput seen)
    {
        SequencerState sampled = Sample(state, seen);
        if (sampled.Samples.Count < plan.Procedure.Samples)
            return StillAnswering(sampled, seen, 0);
        PlannedStep step = plan.Steps[state.StepIndex];
        PointMarks marks = sampled.Samples.Any(s => s.Void) ? state.Marks | PointMarks.VoidSamples : state.Marks;
        var point = new PointRecord(
            state.PointsRead + 1,
            step.Cycle,
            step.Direction,
            plan.InDeviceReference(step.Target),
            state.RequestedMicros,
            state.ReachedMicros,
            state.SettledMicros,
            marks,
            sampled.Samples);
        return StepDone(sampled with { PointsRead = state.PointsRead + 1 }, RunTrigger.SamplesTaken, seen)
            .With(new RunEvent.PointRead(point));
    }

    private Progress GiveUpWaiting(SequencerState state, in SequencerInput seen) =>
        plan.Procedure.Settle.OnTimeout == TimeoutPolicy.Flag
            ? BeginReading(state with { Marks = state.Marks | PointMarks.Unsettled }, RunTrigger.SettleTimeout, seen)
            : End(state, RunTrigger.Abort, RunOutcome.Aborted, "a point did not settle in time", seen);

    private Progress BeginReading(SequencerState state, RunTrigger trigger, in SequencerInput seen) =>
        Enter(state with { SettledMicros = seen.NowMicros, NextSampleMicros = seen.NowMicros }, trigger, seen);

    private Progress Passed(SequencerState state, in SequencerInput seen) =>
        plan.Procedure.OnOvershoot == OvershootPolicy.Again && state.Reapproaches == 0
            ? Enter(state with { BackingOff = true, Reapproaches = 1 }, RunTrigger.Overshot, seen)
            : Stay(state with { Marks = state.Marks | PointMarks.WrongApproach });

    private bool TimedOut(SequencerState state, in SequencerInput seen) =>
        seen.NowMicros - state.RequestedMicros > plan.Procedure.Settle.TimeoutMicros;

    private Progress InTime(SequencerState state, in SequencerInput seen) => TimedOut(state, seen)
        ? End(state, RunTrigger.Abort, RunOutcome.Aborted, "the pressure was not reached in time", seen)
        : Stay(state);

    /// <summary>Counts from the newest sample, so that a slow device is not taken for a silent one.</summary>
    private Progress StillAnswering(SequencerState state, in SequencerInput seen, long leadMicros)
    {
        long since = state.Samples.IsEmpty ? state.PhaseSinceMicros + leadMicros : state.Samples[^1].Indication.AnsweredMicros;
        if (seen.NowMicros - since <= plan.Procedure.SampleIntervalMicros + SampleGraceMicros)
            return Stay(state);
        string reason = seen.Bench.LineFault ?? "the device under test stopped giving readings";
        return End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, reason, seen);
    }

    /// <summary>Whether the reference is within the band around the target, or beyond it on the far side.</summary>
    private bool Reached(SequencerState state, in SequencerInput seen)
    {
        PlannedStep step = plan.Steps[state.StepIndex];
        if (step.ByVent && !state.BackingOff)
            return seen.Bench.Depressurised;
        if (!seen.Bench.Reference.IsGood || seen.Bench.Reference.AskedAtMicros < state.RequestedMicros)
            return false;
        double band = plan.Procedure.Settle.BandOfSpan * plan.Device.SpanPascals;
        double above = (seen.Bench.Reference.Value - state.Target).Pascals;
        bool downwards = (step.Direction == SeriesDirection.Descending) != state.BackingOff;
        return Math.Abs(above) <= band || (state.BackingOff && (downwards ? above < 0 : above > 0));
    }

    private bool Overshot(SequencerState state, in SequencerInput seen)
    {
        PlannedStep step = plan.Steps[state.StepIndex];
        SensorReading reading = seen.Bench.Reference;
        // The first point of a series has no side, and an answer to an old question says nothing of this approach.
        if (step.ByVent || step.Turning || !reading.IsGood || reading.AskedAtMicros < state.RequestedMicros)
            return false;
        double beyond = (reading.Value - step.Target).Pascals;
        if (step.Direction == SeriesDirection.Descending)
            beyond = -beyond;
        bool passed = beyond > plan.Procedure.OvershootOfSpan * plan.Device.SpanPascals;
        return passed && !state.Marks.HasFlag(PointMarks.WrongApproach);
    }

    private Pressure BackOffTarget(PlannedStep step)
    {
        double distance = BackOffOvershoots * plan.Procedure.OvershootOfSpan * plan.Device.SpanPascals;
        double sign = step.Direction == SeriesDirection.Ascending ? -1 : 1;
        Pressure behind = step.Target + PressureDifference.FromPascals(sign * distance);
        // Only what the plan itself asks for has been compared with the bench's limits.
        return Pressure.Max(plan.Lowest, Pressure.Min(behind, plan.Highest));
    }

    private static SequencerState Watch(SequencerState state, in SequencerInput seen, long windowMicros)
    {
        SensorReading reading = seen.Bench.Reference;
        return reading.IsGood && reading.Count != state.ReferenceCount
            ? state with { Window = state.Window.Add(reading.AnsweredAtMicros, reading.Value.Pascals, windowMicros) }
            : state;
    }

    private SequencerState Sample(SequencerState state, in SequencerInput seen)
    {
        IndicationReading indication = seen.Indication;
        SensorReading reference = seen.Bench.Reference;
        bool due = indication.Count != state.IndicationCount && indication.AskedMicros >= Math.Max(state.NextSampleMicros, state.PhaseSinceMicros);
        bool paired = reference.IsGood && Math.Abs(reference.AnsweredAtMicros - indication.AnsweredMicros) <= PairingMicros;
        if (!due || !paired)
            return state;
        bool tellsPressure = plan.Device.Output == Configuration.DeviceOutput.Digital;
        double value = tellsPressure ? plan.InDeviceReference(Pressure.FromPascals(indication.Value)) : indication.Value;
        var sample = new Sample(
            new RawReading(
                plan.InDeviceReference(reference.Value),
                seen.Bench.ReferenceRaw.ToString(),
                reference.AskedAtMicros,
                reference.AnsweredAtMicros),
            new RawReading(value, indication.Raw.ToString(), indication.AskedMicros, indication.AnsweredMicros),
            seen.Bench.SamplesVoid);
        return state with
        {
            Samples = state.Samples.Add(sample),
            IndicationCount = indication.Count,
            NextSampleMicros = Math.Max(state.NextSampleMicros, seen.NowMicros - plan.Procedure.SampleIntervalMicros)
                + plan.Procedure.SampleIntervalMicros,
        };
    }

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
        Enter(state with { Outcome = outcome, OutcomeReason = reason, Target = plan.Atmosphere, BackingOff = false }, trigger, seen);

    private Progress Enter(SequencerState state, RunTrigger trigger, in SequencerInput seen)
    {
        RunPhase phase = _phases.Next(state.Phase, trigger);
        SequencerState entered = state with { Phase = phase, PhaseSinceMicros = seen.NowMicros };
        return new Progress(entered, [new RunEvent.PhaseEntered(phase, seen.NowMicros)]);
    }

    private readonly record struct Progress(SequencerState State, ImmutableList<RunEvent> Events)
    {
        public Progress With(RunEvent happened) => new(State, Events.Insert(0, happened));
    }
}
