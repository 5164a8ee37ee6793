using Barostep.Records;

namespace Barostep.Procedures;

/// <content>A dial gauge: one sample before tapping and one after it, both of them answers.</content>
public sealed partial class Sequencer
{
    private Progress ReadingPointer(SequencerState state, in SequencerInput seen)
    {
        SequencerState watched = Watch(state, seen, plan.Procedure.Settle.WindowMicros);
        if (plan.ByHand && Overshot(watched, seen))
            return Passed(watched, seen);
        if (Answered(watched, seen, out AnswerRecord? record) is not { } sample)
            return Stay(watched);
        var answered = new RunEvent.Answered(record!);
        if (watched.BeforeTapping is null)
            return new Progress(watched with { BeforeTapping = sample }, [answered]);
        PlannedStep step = plan.Steps[watched.StepIndex];
        return PointDone(watched with { Samples = [sample], Marks = watched.Marks | Restless(watched, step) }, step, seen).With(answered);
    }

    /// <summary>A reference that still moved when a person called the pointer still.</summary>
    private PointMarks Restless(SequencerState state, PlannedStep step)
    {
        double limit = plan.Procedure.Settle.SlopeOfSpanPerSecond * plan.Device.SpanPascals;
        return step.ByVent || Math.Abs(state.Window.SlopePerSecond()) <= limit ? PointMarks.None : PointMarks.Unsettled;
    }

    private Progress ZeroingPointer(SequencerState state, in SequencerInput seen)
    {
        if (Answered(state, seen, out AnswerRecord? record) is not { } sample)
            return Stay(state);
        return ZeroDone(state with { Samples = [sample] }, seen).With(new RunEvent.Answered(record!));
    }

    private Progress ProbingPointer(SequencerState state, in SequencerInput seen)
    {
        if (Answered(state, seen, out AnswerRecord? record) is not { } sample)
            return Stay(state);
        return ProbeDone(state with { Samples = [sample] }, seen).With(new RunEvent.Answered(record!));
    }
}
