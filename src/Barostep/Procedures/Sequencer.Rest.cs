using Barostep.Control;
using Barostep.Evaluation;
using Barostep.Procedures.Settling;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <content>How the device follows the pressure, where the procedure reads by what is still to come of its error.</content>
public sealed partial class Sequencer
{
    /// <summary>A reading of the reference that is older than this is not of one moment with the device's.</summary>
    private const long PairMicros = 200_000;

    /// <summary>Noise of a pair that is assumed at least, as a share of the tolerance: readings that never change still have a resolution.</summary>
    private const double LeastNoiseOfTolerance = 0.001;

    /// <summary>Permissible error at the narrowest point of the run, Pa: what is assumed of the noise belongs to the whole run.</summary>
    private readonly double _narrowestPascals = plan.Steps.Where(step => step.Kind == StepKind.Point).Select(plan.LimitPascals)
        .DefaultIfEmpty(plan.Device.ToleranceOfSpan * plan.Device.SpanPascals).Min();

    private double LeastNoisePascals => LeastNoiseOfTolerance * _narrowestPascals;

    /// <summary>Permissible error by which the present point is judged, Pa.</summary>
    private double LimitPascals(SequencerState state) => plan.LimitPascals(plan.Steps[state.StepIndex]);

    private double ReadingSeconds => plan.Procedure.Samples * plan.Procedure.SampleIntervalMicros * 1e-6;

    /// <summary>Takes a pair where the device has given a new reading.</summary>
    private SequencerState Paired(SequencerState state, in SequencerInput seen)
    {
        IndicationReading indication = seen.Indication;
        SensorReading reference = seen.Bench.Reference;
        long between = Math.Abs(reference.AnsweredAtMicros - indication.AnsweredMicros);
        if (plan.Procedure.Settle.Rest is null || indication.Count == state.PairedCount || !reference.IsGood || between > PairMicros)
            return state;
        double value = Transfer.ToPascals(plan.Device, Sampling.Told(plan, indication));
        double told = plan.InDeviceReference(reference.Value);
        // Written as it was used: to a tenth of a millipascal, far below any reading's resolution.
        var pair = new SettlingPair((reference.AskedAtMicros + reference.AnsweredAtMicros) / 2, Math.Round(told, 4), Math.Round(value - told, 4));
        SettlingModel model = state.Model ?? SettlingModel.Begin(LeastNoisePascals);
        bool rests = IsHeld(state);
        TrailMoment moment = state.ReadingBegins ? TrailMoment.ReadingBegins : rests ? TrailMoment.Settling : TrailMoment.Following;
        if (state.ReadingBegins)
            model = model.BeginReading();
        return state with
        {
            Model = rests ? model.Settle(pair) : model.Follow(pair),
            Trail = state.Trail.Add(new TrailPair(moment, pair)),
            ReadingBegins = false,
            PairedCount = indication.Count,
        };
    }

    /// <summary>At a point, or at the top or bottom of a preload, where the error at rest is one value.</summary>
    private static bool IsHeld(SequencerState state) => state.Phase switch
    {
        RunPhase.Settling or RunPhase.Reading => true,
        RunPhase.Preloading => state.ReachedMicros != 0,
        _ => false,
    };

    private bool RestIsSmall(SequencerState state, PredictedRest rest) =>
        state.Model?.Forecast(ReadingSeconds) is { } forecast && rest.Accepts(forecast, LimitPascals(state));

    /// <summary>Whether the pressure moved during a reading so that the device was not at rest; never where the wait is over.</summary>
    private bool Disturbed(SequencerState state) =>
        plan.Procedure.Settle.Rest is { } rest
        && !state.Marks.HasFlag(PointMarks.Unsettled)
        && state.Model?.OverReading() is { } over
        && !rest.Accepts(over, LimitPascals(state));

    /// <summary>Time until this point has been read, from its own fit; null where there is none.</summary>
    private long? SettlingMicros(SequencerState state) =>
        state.Phase == RunPhase.Settling
        && plan.Procedure.Settle.Rest is { } rest
        && state.Model?.SecondsUntil(rest.AimPascals(LimitPascals(state)), rest.CoverageFactor, ReadingSeconds) is { } seconds
            ? (long)((seconds + ReadingSeconds) * 1e6)
            : null;

    private SettlingDecision? Decision(SequencerState state) => plan.Procedure.Settle.Rest is not { } rest
        ? null
        : new SettlingDecision(
            state.AtBeginning,
            state.Model?.OverReading(),
            rest.LimitPascals(LimitPascals(state)),
            rest.CoverageFactor,
            ReadingSeconds,
            LeastNoisePascals,
            state.Trail);
}
