using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <content>The vents between and after, and when one is given up.</content>
public sealed partial class Sequencer
{
    /// <summary>The guard judges a vent by the gas; this only keeps a run from waiting for ever.</summary>
    private const long VentTimeoutMicros = 300_000_000;

    /// <summary>With a line gone nobody can tell whether the bench is vented; waiting longer will not show it.</summary>
    private const long BlindVentTimeoutMicros = 30_000_000;

    /// <summary>Sight that lasts this long is believed again; a line that flaps between garbage and answers proves no vent.</summary>
    private const long SightAgainMicros = 10_000_000;

    /// <summary>What keeps a vent from being proved however long one waits.</summary>
    private static readonly CauseSet HideVents = CauseSet.Of(Cause.VentFailed).With(Cause.SensorFrozen).With(Cause.FrozenWhileMoving);

    /// <summary>Follows since when nobody can tell whether the bench is vented.</summary>
    private static SequencerState Sighted(SequencerState state, in SequencerInput seen)
    {
        if (seen.Bench.LineFault is not null || !(seen.Bench.Causes & HideVents).IsEmpty)
            return state with { BlindSinceMicros = state.BlindSinceMicros ?? seen.NowMicros, SightedSinceMicros = null };
        if (state.BlindSinceMicros is null)
            return state;
        long since = state.SightedSinceMicros ?? seen.NowMicros;
        return seen.NowMicros - since >= SightAgainMicros
            ? state with { BlindSinceMicros = null, SightedSinceMicros = null }
            : state with { SightedSinceMicros = since };
    }

    /// <summary>An instrument that fails a command is found to be silent only later: then the reason names its line.</summary>
    private static SequencerState WithLineNamed(SequencerState state, in SequencerInput seen) =>
        state is { Outcome: RunOutcome.InstrumentFailure, ReasonNamesLine: false } && seen.Bench.LineFault is { } fault
            ? state with { OutcomeReason = $"{state.OutcomeReason} ({fault})", ReasonNamesLine = true }
            : state;

    /// <summary>A line that only blinked does not count: the vent can be seen again.</summary>
    private static bool VentGivenUp(SequencerState state, in SequencerInput seen) =>
        seen.NowMicros - state.PhaseSinceMicros > VentTimeoutMicros
        || (state is { BlindSinceMicros: { } since, SightedSinceMicros: null }
            && seen.NowMicros - Math.Max(since, state.PhaseSinceMicros) > BlindVentTimeoutMicros);

    private Progress Venting(SequencerState state, in SequencerInput seen)
    {
        if (state.Outcome is null && DumpTested(state, seen) is { } testing)
            return testing;
        bool confirmed = seen.Bench.Depressurised;
        if (!confirmed && !VentGivenUp(state, seen))
            return Stay(state);
        if (state.Outcome is not { } outcome)
        {
            if (confirmed)
                return Enter(state, RunTrigger.Vented, seen);
            // Waiting for the same proof a second time would not bring it.
            (outcome, string reason) = WhyUnproved(state, seen);
            state = state with { Outcome = outcome, OutcomeReason = reason, Target = plan.Atmosphere, BackingOff = false };
        }

        RunTrigger trigger = outcome == RunOutcome.Completed ? RunTrigger.RunCompleted : RunTrigger.RunAborted;
        return Finish(Enter(state, trigger, seen), outcome, confirmed);
    }

    private static (RunOutcome Outcome, string Reason) WhyUnproved(SequencerState state, in SequencerInput seen)
    {
        if (seen.Bench.LineFault is { } fault)
            return (RunOutcome.InstrumentFailure, fault);
        return seen.NowMicros - state.PhaseSinceMicros > VentTimeoutMicros
            ? (RunOutcome.Aborted, "the bench did not vent within five minutes")
            : (RunOutcome.InstrumentFailure, CausePolicy.Of(CausePolicy.First(seen.Bench.Causes & HideVents)).What);
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
}
