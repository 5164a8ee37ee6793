using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// How a hand brings a pressure to a goal: strokes as long as there is far to go, shorter ones nearer, then the fine screw;
/// down by the release valve, the slower the nearer. Once, where the description says so, it pumps too far.
/// </summary>
internal sealed class PumpingHand(Plant plant, PersonDescription person)
{
    private const long LongestStrokeMicros = 500_000;
    private const long ShortestStrokeMicros = 100_000;
    private const long RestMicros = 700_000;

    /// <summary>Nearer than this a hand takes to the screw, Pa.</summary>
    private const double NearPa = 8_000;

    /// <summary>Nearer than this it leaves the pressure alone, Pa.</summary>
    private const double CloseEnoughPa = 60;

    private const double ReleaseRatePaPerS = 80_000;
    private const double ScrewRatePaPerS = 8_000;
    private const double ApproachSeconds = 1.5;
    private const double StepSeconds = 0.001;

    private readonly HandPump _pump = new(plant, person.ScrewM3);
    private double _strokePaPerS = 100_000;
    private double _beforePa;
    private long _strokeMicros;
    private long _restsUntilMicros;
    private double _slipPa;
    private int _raises;

    /// <summary>A new order.</summary>
    public void Begin(string verb)
    {
        _slipPa = verb == "RAISE" && ++_raises == person.SlipsAtRaise ? person.SlipPa : 0;
        _strokeMicros = 0;
    }

    /// <summary>One millisecond of work.</summary>
    /// <param name="verb">What was asked.</param>
    /// <param name="shownPa">What the person goes by: the reference's display, or the pointer; gauge.</param>
    /// <param name="gaugePa">The pressure itself, gauge.</param>
    /// <param name="goalPa">Where it is to be, gauge.</param>
    /// <param name="nowMicros">Now.</param>
    /// <returns>Whether nothing had to be done.</returns>
    public bool Work(string verb, double shownPa, double gaugePa, double goalPa, long nowMicros)
    {
        _pump.Follow(nowMicros);
        double way = goalPa + _slipPa - shownPa;
        switch (verb)
        {
            case "RELEASE":
                _pump.Squeeze(-ScrewRatePaPerS * StepSeconds);
                Open(gaugePa < 2_000 ? double.MaxValue : ReleaseRatePaPerS, nowMicros);
                return false;
            case "RAISE" or "MARKUP":
                return Raise(way, gaugePa, nowMicros);
            case "LOWER" or "MARKDOWN":
                return Lower(-way, nowMicros);
            case "TAPMARK":
                return way > 0 ? Trim(way, nowMicros) : Lower(-way, nowMicros);
            default:
                Open(0, nowMicros);
                return true;
        }
    }

    private bool Raise(double wayPa, double gaugePa, long nowMicros)
    {
        Open(0, nowMicros);
        if (nowMicros < _restsUntilMicros)
        {
            return false;
        }

        if (_strokeMicros > 0)
        {
            // A stroke near the pump's own limit does little: no hand concludes from it that the next does nothing.
            _strokePaPerS = Math.Max(20_000, (gaugePa - _beforePa) / (_strokeMicros * 1e-6));
            _strokeMicros = 0;
        }

        if (wayPa <= NearPa)
        {
            return Trim(wayPa, nowMicros);
        }

        // Far from the goal the screw goes out again, to have its travel when it is needed.
        _pump.Squeeze(wayPa > 5 * NearPa ? -NearPa / 2 : 0);
        _strokeMicros = (long)Math.Clamp(0.6 * wayPa / _strokePaPerS * 1e6, ShortestStrokeMicros, LongestStrokeMicros);
        _beforePa = gaugePa;
        _restsUntilMicros = nowMicros + _strokeMicros + RestMicros;
        _pump.Stroke(_strokeMicros, nowMicros);
        return false;
    }

    private bool Trim(double wayPa, long nowMicros)
    {
        Open(0, nowMicros);
        if (wayPa <= CloseEnoughPa)
        {
            return true;
        }

        _pump.Squeeze(Math.Min(ScrewRatePaPerS, wayPa / ApproachSeconds) * StepSeconds);
        return false;
    }

    private bool Lower(double wayPa, long nowMicros)
    {
        bool there = wayPa <= CloseEnoughPa;
        Open(there ? 0 : Math.Min(ReleaseRatePaPerS, wayPa / ApproachSeconds), nowMicros);
        return there;
    }

    /// <summary>Opens the release valve so far that the pressure falls at a rate.</summary>
    private void Open(double paPerS, long nowMicros)
    {
        double opening = Math.Min(1, paPerS / (plant.PressurePa * plant.FullVentRate));
        // No finger sets a valve finer than to a thousandth of its travel.
        _pump.Release(Math.Ceiling(opening * 1000) / 1000, nowMicros);
    }
}
