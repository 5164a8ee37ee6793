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
        SequencerState sampled = Sampling.Take(plan, state, seen);
        if (sampled.Samples.Count < plan.Procedure.Samples)
            return StillAnswering(sampled, seen, 0);
        if (Disturbed(sampled))
            return TimedOut(sampled, seen) ? GiveUpWaiting(sampled, seen) : Enter(sampled with { Samples = [] }, RunTrigger.Disturbed, seen);
        PlannedStep step = plan.Steps[state.StepIndex];
        PointMarks marks = sampled.Samples.Any(s => s.Void) ? state.Marks | PointMarks.VoidSamples : state.Marks;
        // Where rest is predicted, the prediction has judged the reading already.
        if (plan.Procedure.Settle.Rest is null && !step.ByVent && sampled.Samples.Any(s => HasLeftBand(s, step)))
            marks |= PointMarks.Unsettled;
        var point = new PointRecord(
            state.PointsRead + 1,
            step.Cycle,
            step.Direction,
            plan.InDeviceReference(step.Target),
            state.RequestedMicros,
            state.ReachedMicros,
            state.SettledMicros,
            marks,
            sampled.Samples)
        {
            Settling = Decision(sampled),
        };
        return StepDone(sampled with { PointsRead = state.PointsRead + 1, Trail = [] }, RunTrigger.SamplesTaken, seen)
            .With(new RunEvent.PointRead(point));
    }

    /// <summary>What disturbs the gas after it has settled shows in the samples alone.</summary>
    private bool HasLeftBand(Sample sample, PlannedStep step) =>
        Math.Abs(sample.Reference.Value - plan.InDeviceReference(step.Target)) > plan.Procedure.Settle.BandOfSpan * plan.Device.SpanPascals;

    private Progress GiveUpWaiting(SequencerState state, in SequencerInput seen) =>
        plan.Procedure.Settle.OnTimeout == TimeoutPolicy.Flag
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
            },
            trigger,
            seen);

    private Progress Passed(SequencerState state, in SequencerInput seen) =>
        plan.Procedure.OnOvershoot != OvershootPolicy.Flag && state.Reapproaches == 0
            ? Enter(state with { BackingOff = true, FallingShort = false, InTwo = false, Reapproaches = 1 }, RunTrigger.Overshot, seen)
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
}
