using Barostep.Records;

namespace Barostep.Procedures;

/// <content>What is done beside the points: zero, probe, preloads.</content>
public sealed partial class Sequencer
{
    private Progress Zeroing(SequencerState state, in SequencerInput seen)
    {
        if (seen.NowMicros - state.PhaseSinceMicros < plan.Procedure.Settle.MinimumDwellMicros)
            return Stay(state);
        SequencerState sampled = Sampling.Take(plan, state, seen);
        if (sampled.Samples.Count < plan.Procedure.Samples)
            return StillAnswering(sampled, seen, plan.Procedure.Settle.MinimumDwellMicros);
        bool before = state.PointsRead == 0;
        if (!Sampling.ReferenceReadsZero(plan, sampled.Samples))
        {
            return End(sampled, RunTrigger.Abort, RunOutcome.Aborted, "the reference does not read zero although the bench is vented", seen)
                .With(new RunEvent.ZeroRead(new ZeroRecord(before, sampled.Samples)));
        }

        return StepDone(sampled, RunTrigger.SamplesTaken, seen)
            .With(new RunEvent.ZeroRead(new ZeroRecord(before, sampled.Samples)));
    }

    private Progress Preloading(SequencerState state, in SequencerInput seen)
    {
        if (state.ReachedMicros == 0)
            return Reached(state, seen) ? Stay(state with { ReachedMicros = seen.NowMicros }) : InTime(state, seen);
        if (plan.Steps[state.StepIndex].Kind == StepKind.Probe)
            return Probing(state, seen);
        state = Learned(state, seen);
        return seen.NowMicros - state.ReachedMicros >= plan.Procedure.PreloadHoldMicros
            ? StepDone(state, RunTrigger.StepDone, seen)
            : Stay(state);
    }

    /// <summary>Goes no higher with a device that does not follow: a wrong range or label shows at a pressure that hurts nobody.</summary>
    private Progress Probing(SequencerState state, in SequencerInput seen)
    {
        if (seen.NowMicros - state.ReachedMicros < plan.Procedure.Settle.WindowMicros)
            return Stay(state);
        SequencerState sampled = Sampling.Take(plan, state with { PhaseSinceMicros = Math.Max(state.PhaseSinceMicros, state.ReachedMicros) }, seen);
        if (sampled.Samples.Count == 0)
            return StillAnswering(sampled, seen, plan.Procedure.Settle.WindowMicros);
        return Sampling.DeviceFollows(plan, sampled.Samples[0])
            ? StepDone(sampled, RunTrigger.StepDone, seen)
            : End(sampled, RunTrigger.Abort, RunOutcome.Aborted, Sampling.DescribeProbe(plan, sampled.Samples[0]), seen);
    }
}
