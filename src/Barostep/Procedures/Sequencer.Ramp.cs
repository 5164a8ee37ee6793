using System.Collections.Immutable;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Records;

namespace Barostep.Procedures;

/// <content>The slow change of pressure over which a pressure switch trips and goes back.</content>
public sealed partial class Sequencer
{
    /// <summary>Readings before a change that are kept: enough for a straight line through the reference.</summary>
    private const int RampTrail = 40;

    /// <summary>A contact has changed when this many readings in a row say so; one alone may be a bounce (trade practice).</summary>
    private const int ReadingsOfAChange = 2;

    /// <summary>A ramp that takes so much longer than its rate says is not followed any more.</summary>
    private const double RampPatience = 2;

    private Progress Ramping(SequencerState state, in SequencerInput seen)
    {
        PlannedStep step = plan.Steps[state.StepIndex];
        RunPlan device = step.Device == 0 ? plan : plan.Beside[step.Device - 1];
        SwitchContact contact = device.Device.Contact!;
        SequencerState watched = WatchContact(state, step, device, seen);
        bool tripping = (step.Direction == SeriesDirection.Ascending) == contact.TripsOnRise;
        ImmutableList<Sample> trail = watched.Samples;
        if (trail.Count == 1 && IsDone(trail[0]))
        {
            string found = tripping ? "has tripped before its ramp began" : "has gone back before its ramp began";
            return End(watched, RunTrigger.Abort, RunOutcome.Aborted, $"{device.Device.Name} {found}; check its wiring, resets_at, and that contact says what it does", seen);
        }

        bool changed = trail.Count >= ReadingsOfAChange && trail.Skip(trail.Count - ReadingsOfAChange).All(IsDone);
        if (changed || (!trail.IsEmpty && IsAtItsEnd(watched, seen)))
            return RampDone(watched, step, device, seen);
        if (trail.IsEmpty || seen.NowMicros - trail[^1].Indication.AnsweredMicros > SampleGraceMicros)
            return SilentContact(watched, seen);
        long longest = (long)(RampPatience * plan.ExpectedMicros(step, plan.Steps[state.StepIndex - 1].Target)) + plan.Procedure.Settle.TimeoutMicros;
        return seen.NowMicros - state.PhaseSinceMicros <= longest
            ? Stay(watched)
            : End(watched, RunTrigger.Abort, RunOutcome.Aborted, "the pressure did not follow the ramp of a switch", seen);

        bool IsDone(Sample sample) => contact.IsTripped(sample.Indication.Value) == tripping;
    }

    private SequencerState WatchContact(SequencerState state, PlannedStep step, RunPlan device, in SequencerInput seen)
    {
        SequencerState watched = Watch(state, seen, plan.Procedure.Settle.WindowMicros);
        IndicationReading told = step.Device == 0 ? seen.Indication : seen.Beside[step.Device - 1];
        if (told.Count == state.IndicationCount || told.AskedMicros < state.PhaseSinceMicros || Sampling.Pair(device, seen, told) is not { } sample)
            return watched;
        ImmutableList<Sample> trail = watched.Samples.Count < RampTrail ? watched.Samples : watched.Samples.RemoveAt(0);
        return watched with { Samples = trail.Add(sample), IndicationCount = told.Count };
    }

    /// <summary>Whether the pressure has come to the end of the ramp and stayed there, so that a change would have shown.</summary>
    private bool IsAtItsEnd(SequencerState state, in SequencerInput seen) =>
        Reached(state, seen) && state.Window.Covers(plan.Procedure.Settle.WindowMicros)
        && state.Window.IsStable(
            state.Target.Pascals, plan.Procedure.Settle.BandOfSpan * plan.Device.SpanPascals, plan.Procedure.Settle.WindowMicros, double.PositiveInfinity);

    private Progress SilentContact(SequencerState state, in SequencerInput seen) =>
        seen.NowMicros - state.PhaseSinceMicros <= SampleGraceMicros
            ? Stay(state)
            : End(state, RunTrigger.Abort, RunOutcome.InstrumentFailure, seen.Bench.LineFault ?? "the contact under test stopped giving readings", seen);

    private Progress RampDone(SequencerState state, PlannedStep step, RunPlan device, in SequencerInput seen)
    {
        SwitchContact contact = device.Device.Contact!;
        bool tripping = (step.Direction == SeriesDirection.Ascending) == contact.TripsOnRise;
        PointMarks marks = state.Samples.Any(sample => sample.Void) ? PointMarks.VoidSamples : PointMarks.None;
        int read = step.Device == 0 ? state.PointsRead : state.Beside[step.Device - 1].PointsRead;
        var point = new PointRecord(
            read + 1, step.Cycle, step.Direction, tripping ? contact.SwitchesAtPascals : contact.ResetsAtPascals,
            state.RequestedMicros, seen.NowMicros, seen.NowMicros, marks, state.Samples);
        SequencerState counted = step.Device == 0
            ? state
            : state with { Beside = state.Beside.SetItem(step.Device - 1, state.Beside[step.Device - 1] with { PointsRead = read + 1 }) };
        var happened = new RunEvent.PointRead(point);
        return StepDone(counted with { PointsRead = state.PointsRead + 1, IndicationCount = 0 }, RunTrigger.StepDone, seen)
            .With(step.Device == 0 ? happened : new RunEvent.Beside(step.Device - 1, happened));
    }
}
