namespace Barostep.Simulators.Instruments;

/// <summary>
/// The elastic part of a device under test: pressure to share of span, with zero, span, linearity and hysteresis
/// errors and a first-order lag.
/// </summary>
/// <remarks>
/// Hysteresis is a sum of play operators (Prandtl-Ishlinskii): the ascending and the descending line meet at the ends
/// of the range and after any reversal the device remembers where it came from.
/// </remarks>
public sealed class MeasuringElement
{
    private const int Plays = 8;
    private const double WidestPlay = 0.20;

    // x - x^3 peaks at 1/sqrt(3) with 2/(3 sqrt(3)): scales the bow so that its peak is the stated error.
    private const double BowScale = 2.598076211353316;

    private readonly DeviceErrors _errors;
    private readonly double _lowerPa;
    private readonly double _inverseSpan;
    private readonly double _lagShare;
    private readonly double _playShare;
    private readonly double[] _plays = new double[Plays];
    private double _lagged;
    private double _playSum;
    private double _freeFrom;
    private double _freeTo;

    /// <param name="errors">Errors in per cent of span.</param>
    /// <param name="lowerPa">Lower range value.</param>
    /// <param name="upperPa">Upper range value.</param>
    /// <param name="lagMicros">Time constant.</param>
    /// <param name="stepMicros">Period at which <see cref="Follow"/> is called.</param>
    /// <param name="atPa">Pressure at which it has rested.</param>
    public MeasuringElement(DeviceErrors errors, double lowerPa, double upperPa, long lagMicros, long stepMicros, double atPa)
    {
        _errors = errors;
        _lowerPa = lowerPa;
        _inverseSpan = 1 / (upperPa - lowerPa);
        _lagShare = Lag.Share(lagMicros, stepMicros);
        double radii = WidestPlay * (Plays + 1) / 2;
        _playShare = 0.5 * errors.HysteresisPercent / 100 / radii;
        _lagged = (atPa - lowerPa) * _inverseSpan;
        Array.Fill(_plays, _lagged);
        MovePlays(_lagged);
        Share = WithErrors(_lagged);
    }

    /// <summary>Indication as a share of span: 0 at the lower, 1 at the upper range value, both with errors.</summary>
    public double Share { get; private set; }

    /// <summary>Lets the element follow the pressure through one period.</summary>
    public void Follow(double pressurePa)
    {
        double share = (pressurePa - _lowerPa) * _inverseSpan;
        _lagged += _lagShare * (share - _lagged);
        Share = WithErrors(_lagged);
    }

    private double WithErrors(double x)
    {
        double y = x + (0.01 * (_errors.ZeroPercent + (_errors.SpanPercent * x)));
        if (_errors.LinearityPercent != 0)
        {
            double u = (2 * x) - 1;
            y += 0.01 * _errors.LinearityPercent * BowScale * (u - (u * u * u));
        }

        return _playShare == 0 ? y : y + Hysteresis(x);
    }

    private double Hysteresis(double x)
    {
        // Between these two no play is dragged along.
        if (x < _freeFrom || x > _freeTo)
        {
            MovePlays(x);
        }

        return _playShare * (_playSum - (Plays * x));
    }

    private void MovePlays(double x)
    {
        _playSum = 0;
        _freeFrom = double.NegativeInfinity;
        _freeTo = double.PositiveInfinity;
        for (int i = 0; i < Plays; i++)
        {
            double radius = WidestPlay * (i + 1) / Plays;
            _plays[i] = Math.Max(x - radius, Math.Min(x + radius, _plays[i]));
            _playSum += _plays[i];
            _freeFrom = Math.Max(_freeFrom, _plays[i] - radius);
            _freeTo = Math.Min(_freeTo, _plays[i] + radius);
        }
    }
}
