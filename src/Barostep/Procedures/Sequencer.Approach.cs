using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <content>A point of the series: brought to, settled, read.</content>
public sealed partial class Sequencer
{
    /// <summary>A device that gave no sample for an interval and this is taken to have stopped answering.</summary>
    private const long SampleGraceMicros = 15_000_000;

    /// <summary>How far behind the point the next approach starts, in allowed overshoots.</summary>
    private const double BackOffOvershoots = 5;

    private Progress Pressurising(SequencerState state, in SequencerInput seen)
    {
        SequencerState watched = Learned(Landed(Watch(state, seen, plan.Procedure.Settle.WindowMicros), seen), seen);
        if (state.BackingOff)
        {
            return Reached(state, seen)
                ? Stay(watched with { BackingOff = false, Target = plan.Steps[state.StepIndex].Target, RequestedMicros = seen.NowMicros })
                : InTime(watched, seen);
        }

        if (Overshot(watched, seen))
            return Passed(watched, seen);
        if (!watched.FallingShort && Reached(watched, seen))
            return Enter(watched with { ReachedMicros = seen.NowMicros }, RunTrigger.TargetReached, seen);
        return TimedOut(watched, seen) ? GiveUpWaiting(watched with { ReachedMicros = seen.NowMicros }, seen) : Stay(watched);
    }

    private Progress Settling(SequencerState state, in SequencerInput seen)
    {
        StabilityCriterion settle = plan.Procedure.Settle;
        SequencerState watched = Learned(Watch(state, seen, settle.WindowMicros), seen);
        if (Overshot(watched, seen))
            return Passed(watched, seen);
        bool vented = plan.Steps[state.StepIndex].ByVent;
        // Vented, the gas is where the weather puts it: only its slope says whether it has come to rest.
        double band = vented ? double.PositiveInfinity : settle.BandOfSpan * plan.Device.SpanPascals;
        bool stable = settle.Rest is { } rest
            ? (vented || Reached(state, seen)) && RestIsSmall(watched, rest)
            : watched.Window.IsStable(state.Target.Pascals, band, settle.WindowMicros, settle.SlopeOfSpanPerSecond * plan.Device.SpanPascals);
        if (stable && seen.NowMicros - state.ReachedMicros >= plan.DwellMicros(plan.Steps[state.StepIndex]))
            return BeginReading(watched, RunTrigger.Settled, seen);
        return TimedOut(watched, seen) ? GiveUpWaiting(watched, seen) : Stay(watched);
    }

    private Progress Reading(SequencerState state, in SequencerInput seen)
    {
        if (plan.Device.Dial is not null)
            return ReadingPointer(state, seen);
        PlannedStep step = plan.Steps[state.StepIndex];
        SequencerState sampled = Sampling.TakeAll(plan, state, seen, TakesPart);
        if (!Sampling.IsComplete(plan, sampled, TakesPart))
            return StillAnswering(sampled, seen, 0, TakesPart);
        if (Disturbed(sampled))
            return TimedOut(sampled, seen) ? GiveUpWaiting(sampled, seen) : Enter(sampled with { Samples = [] }, RunTrigger.Disturbed, seen);
        return PointDone(sampled, step, seen);

        bool TakesPart(RunPlan device) => IsPoint(device, step);
    }

    /// <summary>Whether a device is read at a step: the leading one always, another where its range has it.</summary>
    private bool IsPoint(RunPlan device, PlannedStep step) => device == plan || SharedSeries.IsPointOf(device.Device, plan.Atmosphere, step.Target);

    private Progress PointDone(SequencerState state, PlannedStep step, in SequencerInput seen)
    {
        PointRecord point = Read(plan, state, state.Samples, state.PointsRead + 1) with { Settling = Decision(state) };
        SequencerState counted = state with
        {
            PointsRead = state.PointsRead + 1,
            Trail = [],
            Beside = [.. state.Beside.Select((beside, i) => IsPoint(plan.Beside[i], step) ? beside with { PointsRead = beside.PointsRead + 1 } : beside)],
        };
        return StepDone(counted, RunTrigger.SamplesTaken, seen).With(
            [new RunEvent.PointRead(point), .. OfBeside(device => IsPoint(device, step), (other, beside) => new RunEvent.PointRead(Read(other, state, beside.Samples, beside.PointsRead + 1)), state)]);
    }

    /// <summary>What happened to each device beside the leading one that takes part.</summary>
    private IEnumerable<RunEvent> OfBeside(Func<RunPlan, bool> takesPart, Func<RunPlan, BesideState, RunEvent> happened, SequencerState state)
    {
        for (int i = 0; i < plan.Beside.Count; i++)
        {
            if (takesPart(plan.Beside[i]))
                yield return new RunEvent.Beside(i, happened(plan.Beside[i], state.Beside[i]));
        }
    }

    /// <summary>A point of the series as one device has given it.</summary>
    private PointRecord Read(RunPlan device, SequencerState state, IReadOnlyList<Sample> samples, int index)
    {
        PlannedStep step = plan.Steps[state.StepIndex];
        PointMarks marks = samples.Any(s => s.Void) ? state.Marks | PointMarks.VoidSamples : state.Marks;
        // Where rest is predicted, the prediction has judged the reading already.
        if (plan.Procedure.Settle.Rest is null && !step.ByVent && samples.Any(s => HasLeftBand(device, s, step)))
            marks |= PointMarks.Unsettled;
        return new PointRecord(
            index, step.Cycle, step.Direction, device.InDeviceReference(step.Target),
            state.RequestedMicros, state.ReachedMicros, state.SettledMicros, marks, samples);
    }

    /// <summary>What disturbs the gas after it has settled shows in the samples alone.</summary>
    private bool HasLeftBand(RunPlan device, Sample sample, PlannedStep step) =>
        Math.Abs(sample.Reference.Value - device.InDeviceReference(step.Target)) > plan.Procedure.Settle.BandOfSpan * plan.Device.SpanPascals;

    private Progress GiveUpWaiting(SequencerState state, in SequencerInput seen) =>
        plan.ByHand && state.Phase is RunPhase.Pressurising or RunPhase.Settling
            ? End(state, RunTrigger.Abort, RunOutcome.Aborted, NotBrought(state), seen)
            : plan.Procedure.Settle.OnTimeout == TimeoutPolicy.Flag
            ? BeginReading(state with { Marks = state.Marks | PointMarks.Unsettled }, RunTrigger.SettleTimeout, seen)
            : End(state, RunTrigger.Abort, RunOutcome.Aborted, "a point did not settle in time", seen);

    private Progress BeginReading(SequencerState state, RunTrigger trigger, in SequencerInput seen) =>
        Enter(
            state with
            {
                SettledMicros = seen.NowMicros,
                NextSampleMicros = seen.NowMicros,
                AtBeginning = state.Model?.Forecast(ReadingSeconds),
                ReadingBegins = true,
                Samples = [],
                Beside = Sampling.Cleared(state.Beside, seen.NowMicros),
            },
            trigger,
            seen);

    private Progress Passed(SequencerState state, in SequencerInput seen) =>
        plan.Procedure.OnOvershoot != OvershootPolicy.Flag && state.Reapproaches < plan.MostReapproaches
            ? Enter(state with { BackingOff = true, FallingShort = false, InTwo = false, Reapproaches = state.Reapproaches + 1 }, RunTrigger.Overshot, seen)
            : Stay(state with { Marks = state.Marks | PointMarks.WrongApproach });

    private bool TimedOut(SequencerState state, in SequencerInput seen) =>
        seen.NowMicros - state.RequestedMicros > plan.LongestApproachMicros;

    private string NotBrought(SequencerState state) =>
        $"nobody brought the pressure within {plan.LongestApproachMicros / 60e6:0.#} min: {state.Prompt?.Text ?? "the guard did not permit it"}";

    private Progress InTime(SequencerState state, in SequencerInput seen) => TimedOut(state, seen)
        ? End(state, RunTrigger.Abort, RunOutcome.Aborted, plan.ByHand ? NotBrought(state) : "the pressure was not reached in time", seen)
        : Stay(state);

    /// <summary>Counts from the newest sample, so that a slow device is not taken for a silent one.</summary>
    private Progress StillAnswering(SequencerState state, in SequencerInput seen, long leadMicros, Func<RunPlan, bool> takesPart)
    {
        long since = takesPart(plan) && state.Samples.Count < plan.Procedure.Samples ? NewestOf(state.Samples) : long.MaxValue;
        for (int i = 0; i < plan.Beside.Count; i++)
        {
            if (takesPart(plan.Beside[i]) && state.Beside[i].Samples.Count < plan.Procedure.Samples)
                since = Math.Min(since, NewestOf(state.Beside[i].Samples));
        }

        if (seen.NowMicros - since <= plan.Procedure.SampleIntervalMicros + SampleGraceMicros)
            return Stay(state);
        string reason = seen.Bench.LineFault ?? "the device under test stopped giving readings";
        return End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, reason, seen);

        long NewestOf(System.Collections.Immutable.ImmutableList<Sample> samples) =>
            samples.IsEmpty ? state.PhaseSinceMicros + leadMicros : samples[^1].Indication.AnsweredMicros;
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
}
