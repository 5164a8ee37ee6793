using Barostep.Procedures;
using Barostep.Procedures.Settling;

namespace Barostep.Daemon.Benchmarks;

/// <summary>What a rule sees at one moment of an approach.</summary>
/// <param name="SinceReachedSeconds">Since the reference first came within the band.</param>
/// <param name="ReferencePascals">Newest reading of the reference; null where there is no new one.</param>
/// <param name="Pair">Newest pair; null where there is no new one.</param>
/// <param name="NowMicros">On the sweep's clock.</param>
internal readonly record struct SettlingSight(double SinceReachedSeconds, long NowMicros, double? ReferencePascals, SettlingPair? Pair);

/// <summary>Decides when a point is read.</summary>
internal abstract class SettlingRule
{
    public abstract string Name { get; }

    /// <summary>A new device is on the bench.</summary>
    public virtual void BeginSweep(SettlingBench bench)
    {
    }

    /// <summary>The pressure has been reached.</summary>
    public virtual void BeginPoint(double targetPascals)
    {
    }

    /// <summary>On the way to a point, or while one is read.</summary>
    public virtual void Follow(in SettlingPair pair)
    {
    }

    public abstract bool IsReady(SettlingBench bench, in SettlingSight sight);

    /// <summary>The reading begins.</summary>
    public virtual void BeginReading()
    {
    }

    /// <summary>Whether the reading that is over counts.</summary>
    public virtual bool Accepts(SettlingBench bench) => true;
}

/// <summary>Waits the same time at every point: common practice of the trade.</summary>
internal sealed class FixedDwell(double seconds) : SettlingRule
{
    public override string Name => FormattableString.Invariant($"fixed dwell {seconds:0} s");

    public override bool IsReady(SettlingBench bench, in SettlingSight sight) => sight.SinceReachedSeconds >= seconds;
}

/// <summary>Band, slope and least dwell, with the figures of the shipped procedures.</summary>
internal sealed class PlainRule : SettlingRule
{
    private const long WindowMicros = 5_000_000;
    private const double SlopeOfSpanPerSecond = 0.00005;
    private const double LeastDwellSeconds = 10;

    private StabilityWindow _window = StabilityWindow.Empty;
    private double _target;

    public override string Name => "band, slope, 10 s";

    public override void BeginPoint(double targetPascals) =>
        (_window, _target) = (StabilityWindow.Empty, targetPascals);

    public override bool IsReady(SettlingBench bench, in SettlingSight sight)
    {
        if (sight.ReferencePascals is { } reading)
            _window = _window.Add(sight.NowMicros, reading, WindowMicros);
        return sight.SinceReachedSeconds >= LeastDwellSeconds
            && _window.IsStable(_target, bench.BandPascals, WindowMicros, SlopeOfSpanPerSecond * bench.SpanPascals);
    }
}

/// <summary>The predicted rest of the error, as a run decides with it.</summary>
internal sealed class PredictedRule(PredictedRest rest, double readingSeconds, double leastDwellSeconds) : SettlingRule
{
    private SettlingModel _model = SettlingModel.Begin(0);

    public override string Name => "predicted rest";

    public override void BeginSweep(SettlingBench bench) => _model = SettlingModel.Begin(bench.TolerancePascals / 1000);

    public override void BeginReading() => _model = _model.BeginReading();

    public override bool Accepts(SettlingBench bench) =>
        _model.OverReading() is { } over && rest.Accepts(over, bench.TolerancePascals);

    public override void Follow(in SettlingPair pair) => _model = _model.Follow(pair);

    public override bool IsReady(SettlingBench bench, in SettlingSight sight)
    {
        if (sight.Pair is not { } pair)
            return false;
        _model = _model.Settle(pair);
        return sight.SinceReachedSeconds >= leastDwellSeconds
            && _model.Forecast(readingSeconds) is { } forecast
            && rest.Accepts(forecast, bench.TolerancePascals);
    }
}
