using Barostep.Records;

namespace Barostep.Procedures;

/// <content>What is done beside the points: zero, probe, preloads.</content>
public sealed partial class Sequencer
{
    private Progress Zeroing(SequencerState state, in SequencerInput seen)
    {
        if (seen.NowMicros - state.PhaseSinceMicros < plan.Procedure.Settle.MinimumDwellMicros)
            return Stay(state);
        if (plan.Device.Dial is not null)
            return ZeroingPointer(state, seen);
        SequencerState sampled = Sampling.Take(plan, state, seen);
        return sampled.Samples.Count < plan.Procedure.Samples
            ? StillAnswering(sampled, seen, plan.Procedure.Settle.MinimumDwellMicros)
            : ZeroDone(sampled, seen);
    }

    private Progress ZeroDone(SequencerState state, in SequencerInput seen)
    {
        bool before = state.PointsRead == 0;
        if (!Sampling.ReferenceReadsZero(plan, state.Samples))
        {
            return End(state, RunTrigger.Abort, RunOutcome.Aborted, "the reference does not read zero although the bench is vented", seen)
                .With(new RunEvent.ZeroRead(new ZeroRecord(before, state.Samples)));
        }

        return StepDone(state, RunTrigger.SamplesTaken, seen)
            .With(new RunEvent.ZeroRead(new ZeroRecord(before, state.Samples)));
    }

    private Progress Preloading(SequencerState state, in SequencerInput seen)
    {
        if (state.ReachedMicros == 0)
            return Reached(state, seen) ? Stay(state with { ReachedMicros = seen.NowMicros }) : InTime(state, seen);
        if (plan.Steps[state.StepIndex].Kind == StepKind.Probe)
            return Probing(state, seen);
        return seen.NowMicros - state.ReachedMicros >= plan.Procedure.PreloadHoldMicros
            ? StepDone(state, RunTrigger.StepDone, seen)
            : Stay(state);
    }

    /// <summary>Goes no higher with a device that does not follow: a wrong range or label shows at a pressure that hurts nobody.</summary>
    private Progress Probing(SequencerState state, in SequencerInput seen)
    {
        if (seen.NowMicros - state.ReachedMicros < plan.Procedure.Settle.WindowMicros)
            return Stay(state);
        if (plan.Device.Dial is not null)
            return ProbingPointer(state, seen);
        SequencerState sampled = Sampling.Take(plan, state with { PhaseSinceMicros = Math.Max(state.PhaseSinceMicros, state.ReachedMicros) }, seen);
        if (sampled.Samples.Count == 0)
            return StillAnswering(sampled, seen, plan.Procedure.Settle.WindowMicros);
        return ProbeDone(sampled, seen);
    }

    private Progress ProbeDone(SequencerState state, in SequencerInput seen) => Sampling.DeviceFollows(plan, state.Samples[0])
        ? StepDone(state, RunTrigger.StepDone, seen)
        : End(state, RunTrigger.Abort, RunOutcome.Aborted, Sampling.DescribeProbe(plan, state.Samples[0]), seen);
}
