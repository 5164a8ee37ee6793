using Barostep.Procedures.Settling;
using Barostep.Simulators.Instruments;
using Barostep.Simulators.Pneumatics;

namespace Barostep.Daemon.Benchmarks;

/// <summary>One point as it was read: how long it took and how far from rest the device was.</summary>
/// <param name="Seconds">From the request to the end of the reading.</param>
/// <param name="BiasOfTolerance">True mean error of indication over the reading, less the true error at rest, as a share of tolerance.</param>
/// <param name="TimedOut">Read because the longest wait was over.</param>
internal readonly record struct SettledPoint(double Seconds, double BiasOfTolerance, bool TimedOut);

/// <summary>Takes one device up and down on simulated gas, with one rule to say when a point is read.</summary>
internal sealed class SettlingSweep
{
    public const double ReadingSeconds = 2;
    public const double LeastDwellSeconds = 2;
    private const double LongestWaitSeconds = 300;
    private const double PreloadSeconds = 30;
    private const int Preloads = 2;
    private const long StepMicros = 10_000;
    private const double StepSeconds = StepMicros * 1e-6;
    private const int StepsPerReference = 5;
    private const int StepsPerPair = 10;
    private const int Points = 11;

    private readonly SettlingBench _bench;
    private readonly SettlingRule? _rule;
    private readonly double _oracleBound;
    private readonly Pcg32 _noise;
    private readonly Plant _plant;
    private readonly PressureLoop _loop;
    private readonly MeasuringElement _device;
    private readonly MeasuringElement _atRest;
    private readonly double _referenceShare;
    private readonly double _sourceShare = Lag.Share(20_000, StepMicros);
    private double _reference;
    private double _source;
    private double _behind;
    private double _previous;
    private long _step;
    private bool _shut;

    private SettlingSweep(SettlingBench bench, SettlingRule? rule, double oracleBound, Pcg32 noise)
    {
        _bench = bench;
        _rule = rule;
        _oracleBound = oracleBound;
        _noise = noise;
        _plant = new Plant(bench.Plant);
        _loop = new PressureLoop(_plant, StepSeconds, 0, bench.SpanPascals);
        _device = new MeasuringElement(bench.Errors, 0, bench.SpanPascals, (long)(bench.DeviceLagSeconds * 1e6), StepMicros, 0);
        _atRest = new MeasuringElement(bench.Errors, 0, bench.SpanPascals, 0, StepMicros, 0);
        _referenceShare = Lag.Share((long)(bench.ReferenceLagSeconds * 1e6), StepMicros);
    }

    private double Now => _step * StepSeconds;

    private double TrueBias => _device.Share * _bench.SpanPascals - (_bench.AfterEffect * _behind) - _reference - ((_atRest.Share * _bench.SpanPascals) - _plant.GaugePa);

    /// <summary>A whole sweep with a rule.</summary>
    public static IReadOnlyList<SettledPoint> Run(SettlingBench bench, SettlingRule rule, ulong seed)
    {
        rule.BeginSweep(bench);
        return new SettlingSweep(bench, rule, 0, new Pcg32(seed, 11)).Sweep();
    }

    /// <summary>A whole sweep with one who knows the truth, and reads as soon as the bias is within a share of the tolerance.</summary>
    public static IReadOnlyList<SettledPoint> RunOracle(SettlingBench bench, double boundOfTolerance, ulong seed) =>
        new SettlingSweep(bench, null, boundOfTolerance * bench.TolerancePascals, new Pcg32(seed, 11)).Sweep();

    private List<SettledPoint> Sweep()
    {
        List<SettledPoint> points = [];
        for (int i = 0; i < Preloads; i++)
        {
            Preload(_bench.SpanPascals);
            Preload(0);
        }

        // The lowest point is read vented, where nothing has moved.
        for (int i = 1; i < (2 * Points) - 1; i++)
            points.Add(Point(_bench.SpanPascals * (i < Points ? i : (2 * Points) - 2 - i) / (Points - 1)));
        return points;
    }

    /// <summary>Brought there and held, as before every series; the rule sees it and decides nothing.</summary>
    private void Preload(double target)
    {
        Approach(target);
        for (double until = Now + PreloadSeconds; Now < until;)
        {
            Advance(target);
            Decide(0);
        }
    }

    private SettledPoint Point(double target)
    {
        double began = Now;
        Approach(target);
        double reached = Now;
        Queue<double> biases = [];
        double sum = 0;
        while (true)
        {
            Advance(target);
            double waited = Now - reached;
            bool late = waited > LongestWaitSeconds;
            if (_rule is not null)
            {
                if ((Decide(waited) || late) && Read(target, began, late) is { } point)
                    return point;
                continue;
            }

            biases.Enqueue(TrueBias);
            sum += TrueBias;
            if (biases.Count > ReadingSeconds / StepSeconds)
                sum -= biases.Dequeue();
            if (waited >= LeastDwellSeconds + ReadingSeconds && (late || Math.Abs(sum / biases.Count) <= _oracleBound))
                return new SettledPoint(Now - began, sum / biases.Count / _bench.TolerancePascals, late);
        }
    }

    /// <summary>Until the reference tells the target, within the band.</summary>
    private void Approach(double target)
    {
        _loop.StartFrom(_source, target);
        _shut = false;
        while (true)
        {
            Advance(target);
            if (Told() is not { } told)
                continue;
            if (Math.Abs(told - target) <= _bench.BandPascals)
                break;
            if (_step % StepsPerPair == 0)
                _rule?.Follow(Pair(told));
        }

        _rule?.BeginPoint(target);
    }

    private SettledPoint? Read(double target, double began, bool late)
    {
        double sum = 0;
        int steps = (int)(ReadingSeconds / StepSeconds);
        _rule!.BeginReading();
        for (int i = 0; i < steps; i++)
        {
            Advance(target);
            Decide(0);
            sum += TrueBias;
        }

        return late || _rule.Accepts(_bench) ? new SettledPoint(Now - began, sum / steps / _bench.TolerancePascals, late) : null;
    }

    private bool Decide(double waited)
    {
        if (_rule is null || Told() is not { } told)
            return false;
        SettlingPair? pair = _step % StepsPerPair == 0 ? Pair(told) : null;
        return _rule.IsReady(_bench, new SettlingSight(waited, _step * StepMicros, told, pair));
    }

    /// <summary>The reference's reading, where it gives one at this moment.</summary>
    private double? Told() => _step % StepsPerReference == 0 ? _reference + (_bench.ReferenceNoisePascals * _noise.NextNormal()) : null;

    private SettlingPair Pair(double told) => new(_step * StepMicros, told, Indication() - told);

    private double Indication() => (_device.Share * _bench.SpanPascals) - (_bench.AfterEffect * _behind) + (_bench.DeviceNoisePascals * _noise.NextNormal());

    private void Advance(double target)
    {
        Regulate(target);
        _plant.Step(_step * StepMicros, StepMicros);
        _step++;
        double gauge = _plant.GaugePa;
        _source += _sourceShare * (gauge - _source);
        _reference += _referenceShare * (gauge - _reference);
        _device.Follow(gauge);
        _atRest.Follow(gauge);
        // What the elastic element has not yet followed fades.
        _behind += (gauge - _previous) - (_behind * StepSeconds / _bench.AfterEffectSeconds);
        _previous = gauge;
    }

    private void Regulate(double target)
    {
        double off = Math.Abs(_source - target);
        if (_shut && off > 0.8 * _bench.BandPascals)
        {
            _shut = false;
            _loop.StartFrom(_source, target);
        }
        else if (_bench.ShutsIn && !_shut && off < 0.1 * _bench.BandPascals)
        {
            _shut = true;
        }

        if (_shut)
            _loop.Shut(_step * StepMicros);
        else
            _loop.Run(_source + (_bench.SourceNoisePascals * _noise.NextNormal()), _plant.AtmospherePa, target, _bench.RateOfSpanPerSecond * _bench.SpanPascals, _step * StepMicros);
    }
}
