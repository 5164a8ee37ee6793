using Barostep.Control;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <content>A guard that does not permit the pressure that is asked for.</content>
public sealed partial class Sequencer
{
    /// <summary>Time for the guard to permit: longer than an instrument takes to be set up, shorter than a person's patience.</summary>
    private const long DeniedMicros = 10_000_000;

    private static SequencerState Answered(SequencerState state, in SequencerInput seen)
    {
        bool denied = state.AsksForPressure && seen.Bench.Phase != GuardPhase.Permitted;
        return state with
        {
            DeniedSinceMicros = denied ? state.DeniedSinceMicros ?? seen.NowMicros : null,
            PermittedSinceMicros = seen.Bench.Phase == GuardPhase.Permitted ? state.PermittedSinceMicros ?? seen.NowMicros : null,
        };
    }

    private Progress? Denied(SequencerState state, in SequencerInput seen)
    {
        if (state.DeniedSinceMicros is not { } since || seen.NowMicros - since <= DeniedMicros)
            return null;
        RunOutcome outcome = InstrumentStandsInTheWay(seen.Bench) ? RunOutcome.InstrumentFailure : RunOutcome.Aborted;
        return End(state, RunTrigger.Abort, outcome, DescribeDenial(seen.Bench), seen);
    }

    private static CauseSet InTheWay(in BenchSnapshot bench) =>
        (bench.FirstCause == Cause.None ? bench.Causes : bench.Causes.With(bench.FirstCause)) & CausePolicy.Blocking;

    private static bool InstrumentStandsInTheWay(in BenchSnapshot bench)
    {
        CauseSet causes = InTheWay(bench);
        // Without a cause, what is missing is an answer of the source: its own upper limit.
        if (bench.LineFault is not null || causes.IsEmpty)
            return true;
        return OutcomeOf(CausePolicy.First(causes)) == RunOutcome.InstrumentFailure || IsAnInstrumentsDoing(CausePolicy.First(causes));
    }

    /// <summary>What trips a bench under pressure is, before any pressure, the fault of the instrument that tells it.</summary>
    private static bool IsAnInstrumentsDoing(Cause cause) => cause is Cause.InstrumentRestarted or Cause.UnitChanged
        or Cause.UpperLimitMismatch or Cause.ReadBackMismatch or Cause.SensorsDisagree or Cause.FrozenWhileMoving
        or Cause.SensorFrozen or Cause.SourceLeftControl;

    private static string DescribeDenial(in BenchSnapshot bench)
    {
        var words = new List<string>();
        foreach (Cause cause in InTheWay(bench))
            words.Add(CausePolicy.Of(cause).What);
        if (words.Count == 0)
            words.Add("the source has not told its own upper limit, or a reading is missing");
        if (bench.LineFault is { } fault)
            words.Add($"({fault})");
        return $"the guard does not permit pressure: {string.Join(' ', words)}";
    }
}
