using Barostep.Evaluation;
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
        SequencerState shut = Watch(state with { ShutOff = true }, seen, test.HoldMicros);
        return held < test.HoldMicros ? Stay(shut) : LeakTested(shut, test, seen);
    }

    private Progress LeakTested(SequencerState state, LeakTest test, in SequencerInput seen)
    {
        StabilityWindow secondHalf = state.Window.Newest(test.HoldMicros / 2);
        if (!secondHalf.Covers(test.HoldMicros / 2))
        {
            string reason = seen.Bench.LineFault ?? "the reference gave too few readings during the leak test";
            return End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, reason, seen);
        }

        double limit = test.LimitOfSpanPerMinute * plan.Device.SpanPascals / 60;
        (double rate, ThermalPart? thermal) = LeakRate(state.Window, secondHalf.SlopePerSecond(), limit);
        var result = new LeakTestRecord(plan.InDeviceReference(state.Target), test.HoldMicros, rate, limit) { Thermal = thermal };
        Progress next = result.Tight
            ? StepDone(state, RunTrigger.StepDone, seen)
            : End(state, RunTrigger.Abort, RunOutcome.Aborted, "the bench is not tight: the leak test failed", seen);
        return next.With(
            [new RunEvent.LeakTested(result), .. OfBeside(_ => true, (other, _) => new RunEvent.LeakTested(result with { PressurePascals = other.InDeviceReference(state.Target) }), state)]);
    }

    /// <summary>Tells the leak, which goes on, from the gas, which comes to rest; where the two cannot be told apart, both count.</summary>
    private static (double Rate, ThermalPart? Thermal) LeakRate(StabilityWindow hold, double secondHalf, double limit)
    {
        (double[] seconds, double[] pascals) = hold.Readings();
        double origin = pascals[0];
        if (ExponentialFit.Fit(seconds, [.. pascals.Select(value => value - origin)], ExponentialShape.ToTrend) is not { } fit)
            return (secondHalf, null);
        double uncertainty = fit.Uncertainties[^1];
        double size = fit.Coefficients[0];
        // A part that is lost in the scatter, or lets the leak be anything, explains nothing.
        bool told = 3 * uncertainty <= limit && Math.Abs(size) >= 3 * fit.Uncertainties[1] && fit.TimeConstant <= seconds[^1] / 2;
        return told ? (fit.Coefficients[2], new ThermalPart(size, fit.TimeConstant, uncertainty)) : (secondHalf, null);
    }
}
