using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <content>What a person is asked, and what becomes of the answer.</content>
public sealed partial class Sequencer
{
    private readonly PromptText _words = new(plan);

    /// <summary>What is asked in a state: the same prompt keeps its number and its time, and another one gets the next.</summary>
    private SequencerState WithPrompt(SequencerState state, in SequencerInput seen)
    {
        if (Wanted(state, seen) is not { } kind)
            return state.Prompt is null ? state : state with { Prompt = null };
        int point = state.StepIndex < plan.Steps.Count && plan.Steps[state.StepIndex].Kind == StepKind.Point ? state.PointsRead + 1 : 0;
        bool urgent = kind == PromptKind.Release && (state.Outcome is not (null or RunOutcome.Completed) || seen.Bench.Phase == GuardPhase.Tripped);
        if (state.Prompt is { } asked && asked.Kind == kind && asked.Target == state.Target && asked.Point == point && asked.IsUrgent == urgent)
            return state;
        PlannedStep? step = state.StepIndex < plan.Steps.Count ? plan.Steps[state.StepIndex] : null;
        SeriesDirection direction = step?.Direction ?? SeriesDirection.Descending;
        bool stays = step is { Turning: true, Direction: SeriesDirection.Descending };
        bool waits = kind is PromptKind.Confirm or PromptKind.Release or PromptKind.HandsOff;
        var prompt = new Prompt(
            state.Prompts + 1, kind, state.Target, direction, point, _words.Of(kind, state.Target, direction, stays, step?.Request, urgent),
            seen.NowMicros, waits ? null : seen.NowMicros + plan.AnswersWithinMicros)
        {
            IsUrgent = urgent,
        };
        return state with { Prompt = prompt, Prompts = prompt.Number };
    }

    private PromptKind? Wanted(SequencerState state, in SequencerInput seen)
    {
        if (state.Ended)
            return null;
        if (state.Phase == RunPhase.WaitingForOperator)
            return PromptKind.Confirm;
        if (AsksPointer(state, seen.NowMicros) is { } pointer)
            return pointer;
        return plan.ByHand ? WantedOfHand(state, seen) : null;
    }

    private PromptKind? WantedOfHand(SequencerState state, in SequencerInput seen)
    {
        bool releases = state.Phase is RunPhase.Venting or RunPhase.Tripped
            || (state.StepIndex < plan.Steps.Count && plan.Steps[state.StepIndex].ByVent && !state.BackingOff);
        if (releases)
            return seen.Bench.Depressurised || state.Phase == RunPhase.Idle ? null : PromptKind.Release;
        // Nobody is told to pump before the guard allows it, and before that is on the disk.
        if (seen.Bench.Phase != GuardPhase.Permitted)
            return null;
        return state.Phase switch
        {
            RunPhase.LeakTesting when state.ReachedMicros != 0 => PromptKind.HandsOff,
            RunPhase.Pressurising when state.BackingOff => PromptKind.BringBack,
            RunPhase.Pressurising or RunPhase.Settling or RunPhase.Preloading or RunPhase.LeakTesting => PromptKind.BringTo,
            _ => null,
        };
    }

    /// <summary>What is asked of the pointer; null where there is none, or nothing of it is wanted now.</summary>
    private PromptKind? AsksPointer(SequencerState state, long nowMicros)
    {
        if (plan.Device.Dial is null)
            return null;
        // Vented, the pointer is read: nobody brings a pressure that is not there to a mark.
        bool onMark = plan.Procedure.Pointer == PointerMethod.SetOnMark && state.Phase == RunPhase.Reading && !plan.Steps[state.StepIndex].ByVent;
        bool asks = state.Phase switch
        {
            RunPhase.Reading or RunPhase.Zeroing => true,
            RunPhase.Preloading => plan.Steps[state.StepIndex].Kind == StepKind.Probe && state.ReachedMicros != 0
                && nowMicros - state.ReachedMicros >= plan.Procedure.Settle.WindowMicros,
            _ => false,
        };
        if (!asks)
            return null;
        return (state.Phase == RunPhase.Reading && state.BeforeTapping is not null, onMark) switch
        {
            (false, false) => PromptKind.ReadPointer,
            (true, false) => PromptKind.ReadPointerTapped,
            (false, true) => PromptKind.SetOnMark,
            (true, true) => PromptKind.SetOnMarkTapped,
        };
    }

    /// <summary>The run's end where a question has waited too long; null while it has not.</summary>
    private Progress? Unanswered(SequencerState state, in SequencerInput seen)
    {
        if (state.Prompt is not { WantsAnswer: true, UntilMicros: { } until } prompt || seen.NowMicros < until)
            return null;
        return End(state, RunTrigger.Abort, RunOutcome.Aborted, $"nobody answered within {Minutes()} min: {prompt.Text}", seen);
    }

    private string Minutes() => (plan.AnswersWithinMicros / 60e6).ToString("0.#", System.Globalization.CultureInfo.InvariantCulture);

    /// <summary>The answer to what is asked now; null where there is none, or it answers something else.</summary>
    private static PersonAnswer? AnswerTo(SequencerState state, in SequencerInput seen) =>
        seen.Answer is { } answer && state.Prompt is { WantsAnswer: true } prompt && answer.Prompt == prompt.Number ? answer : null;

    /// <summary>Reference and pointer at the moment of an answer; null without one, or while the reference tells nothing.</summary>
    private Sample? Answered(SequencerState state, in SequencerInput seen, out AnswerRecord? record)
    {
        record = null;
        SensorReading reference = seen.Bench.Reference;
        if (AnswerTo(state, seen) is not { } answer || !reference.IsGood)
            return null;
        double place = plan.InDeviceReference(state.Target);
        // An entry that cannot stand was refused where it was made; here it only does not count.
        if (state.Prompt!.WantsReading && !PointerEntry.TryRead(plan.Device, answer.Text, out place, out _))
            return null;
        var told = new RawReading(plan.InDeviceReference(reference.Value), seen.Bench.ReferenceRaw.ToString(), reference.AskedAtMicros, reference.AnsweredAtMicros);
        var sample = new Sample(
            told,
            new RawReading(place, state.Prompt.WantsReading ? answer.Text.Trim() : "on the mark", state.Prompt.SinceMicros, seen.NowMicros),
            seen.Bench.SamplesVoid);
        record = RecordOf(state, answer, seen.NowMicros, told.Value, place);
        return sample;
    }

    private static AnswerRecord RecordOf(SequencerState state, PersonAnswer answer, long nowMicros, double? reference, double? place) => new(
        answer.Prompt, state.Prompt!.Kind, state.Prompt.Point, state.Prompt.Text, state.Prompt.SinceMicros, answer.Text.Trim(), answer.Who, nowMicros)
    {
        ReferencePascals = reference,
        IndicationPascals = place,
    };

    private Progress Waiting(SequencerState state, in SequencerInput seen)
    {
        if (AnswerTo(state, seen) is { } answer)
        {
            AnswerRecord record = RecordOf(state, answer, seen.NowMicros, null, null);
            return StepDone(state, RunTrigger.Confirmed, seen).With(new RunEvent.Answered(record));
        }

        return seen.Confirmed ? StepDone(state, RunTrigger.Confirmed, seen) : Stay(state);
    }
}
