using Barostep.Configuration;
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
        SequencerState sampled = Sampling.TakeAll(plan, state, seen, HasZero);
        return Sampling.IsComplete(plan, sampled, HasZero)
            ? ZeroDone(sampled, seen)
            : StillAnswering(sampled, seen, plan.Procedure.Settle.MinimumDwellMicros, HasZero);
    }

    private Progress ZeroDone(SequencerState state, in SequencerInput seen)
    {
        bool before = state.PointsRead == 0;
        Progress next = Sampling.ReferenceReadsZero(plan, state.Samples)
            ? StepDone(state, RunTrigger.SamplesTaken, seen)
            : End(state, RunTrigger.Abort, RunOutcome.Aborted, "the reference does not read zero although the bench is vented", seen);
        return next.With(
            [new RunEvent.ZeroRead(new ZeroRecord(before, state.Samples)), .. OfBeside(HasZero, (_, beside) => new RunEvent.ZeroRead(new ZeroRecord(before, beside.Samples)), state)]);
    }

    /// <summary>A contact tells nothing at zero; of the leading device at least the reference is read.</summary>
    private bool HasZero(RunPlan device) => device == plan || device.Device.Output != DeviceOutput.Contact;

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
        if (plan.Device.Dial is not null)
            return ProbingPointer(state, seen);
        SequencerState begun = state with { PhaseSinceMicros = Math.Max(state.PhaseSinceMicros, state.ReachedMicros) };
        SequencerState sampled = Sampling.TakeAll(plan, begun, seen, Follows);
        if (sampled.Samples.Count == 0 || sampled.Beside.Where((beside, i) => Follows(plan.Beside[i]) && beside.Samples.IsEmpty).Any())
            return StillAnswering(sampled, seen, plan.Procedure.Settle.WindowMicros, Follows);
        (RunPlan Device, Sample Sample)[] told =
        [
            (plan, sampled.Samples[0]),
            .. plan.Beside.Zip(sampled.Beside).Where(one => Follows(one.First)).Select(one => (one.First, one.Second.Samples[0])),
        ];
        foreach ((RunPlan device, Sample sample) in told)
        {
            if (!Sampling.DeviceFollows(device, sample))
                return End(sampled, RunTrigger.Abort, RunOutcome.Aborted, Sampling.DescribeProbe(device, sample), seen);
        }

        return StepDone(sampled, RunTrigger.StepDone, seen);

        bool Follows(RunPlan device) => device == plan || device.Device.Output != DeviceOutput.Contact;
    }

    private Progress ProbeDone(SequencerState state, in SequencerInput seen) => Sampling.DeviceFollows(plan, state.Samples[0])
        ? StepDone(state, RunTrigger.StepDone, seen)
        : End(state, RunTrigger.Abort, RunOutcome.Aborted, Sampling.DescribeProbe(plan, state.Samples[0]), seen);
}
