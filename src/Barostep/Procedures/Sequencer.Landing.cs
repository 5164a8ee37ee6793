using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <content>How a point is landed on, where the procedure avoids passing it.</content>
public sealed partial class Sequencer
{
    private double AllowedPascals => plan.Procedure.OvershootOfSpan * plan.Device.SpanPascals;

    /// <summary>A person who pumps is told the point itself, and sees how near it is.</summary>
    private bool Avoids => plan.Procedure.OnOvershoot == OvershootPolicy.Avoid && !plan.ByHand;

    /// <summary>The beginning of a step: where it starts, and what is asked for first.</summary>
    private SequencerState Aimed(SequencerState begun, in SequencerInput seen)
    {
        PlannedStep step = plan.Steps[begun.StepIndex];
        Pressure from = seen.Bench.Reference.IsGood ? seen.Bench.Reference.Value : begun.Target;
        SequencerState aimed = begun with { ApproachFrom = from, FallingShort = false, InTwo = false, LandingBefore = begun.Landing };
        if (!Avoids || begun.BackingOff || step.ByVent || step.Kind != StepKind.Point)
            return aimed;
        PressureDifference way = step.Target - from;
        double shortBy = begun.Landing.ShortPascals(way.Magnitude().Pascals, AllowedPascals);
        return shortBy == 0
            ? aimed
            : aimed with { Target = step.Target - PressureDifference.FromPascals(Math.Sign(way.MilliPascals) * shortBy), FallingShort = true, InTwo = true };
    }

    /// <summary>The rest of the way, once the first set point is near.</summary>
    private SequencerState Landed(SequencerState state, in SequencerInput seen)
    {
        SensorReading reading = seen.Bench.Reference;
        if (!state.FallingShort || !reading.IsGood || reading.AskedAtMicros < state.RequestedMicros)
            return state;
        double left = Math.Sign((state.Target - state.ApproachFrom).MilliPascals) * (state.Target - reading.Value).Pascals;
        return left > Landing.LeadPascals(RateOf(state))
            ? state
            : state with { FallingShort = false, Target = plan.Steps[state.StepIndex].Target };
    }

    /// <summary>Takes note of how far the set point of a step was passed.</summary>
    private SequencerState Learned(SequencerState state, in SequencerInput seen)
    {
        SensorReading reading = seen.Bench.Reference;
        PlannedStep step = plan.Steps[state.StepIndex];
        if (!Avoids || step.ByVent || state.BackingOff || state.FallingShort || state.Reapproaches > 0
            || !reading.IsGood || reading.AskedAtMicros < state.RequestedMicros)
            return state;
        PressureDifference way = step.Target - state.ApproachFrom;
        double beyond = Math.Sign(way.MilliPascals) * (reading.Value - step.Target).Pascals;
        Landing learned = state.LandingBefore.Learn(beyond, way.Magnitude().Pascals, AllowedPascals, state.InTwo);
        return learned.PassedOfStep > state.Landing.PassedOfStep || learned.Halvings > state.Landing.Halvings ? state with { Landing = learned } : state;
    }

    /// <summary>What is asked for per second: less for the rest of a way that was passed although it was taken in two.</summary>
    private double RateNow(SequencerState state) => state is { InTwo: true, FallingShort: false }
        ? RateOf(state) * state.LandingBefore.RateShare
        : RateOf(state);
}
