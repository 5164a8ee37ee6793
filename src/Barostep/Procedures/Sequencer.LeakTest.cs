using Barostep.Records;

namespace Barostep.Procedures;

/// <content>The leak test.</content>
public sealed partial class Sequencer
{
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
}
