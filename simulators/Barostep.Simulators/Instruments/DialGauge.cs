namespace Barostep.Simulators.Instruments;

/// <summary>
/// A dial gauge under test: an elastic element, a movement whose friction holds the pointer back until it is tapped, and
/// a scale that a person reads to a part of a division.
/// </summary>
public sealed class DialGauge
{
    private const long StepMicros = 1_000;

    private readonly DialDescription _description;
    private readonly MeasuringElement _element;
    private double _pointer;

    public DialGauge(DialDescription description)
    {
        _description = description;
        _element = new MeasuringElement(description.Errors, description.LowerPa, description.UpperPa, description.LagMicros, StepMicros, 0);
        _pointer = _element.Share;
    }

    /// <summary>Where the pointer stands, gauge Pa on its own scale; a pin stops it at the lower end.</summary>
    public double PointerPa => Math.Max(_description.LowerPa, _description.LowerPa + (_pointer * Span));

    /// <summary>The pointer's place as a person reads it: the nearest readable part of a division, gauge Pa.</summary>
    public double ReadingPa
    {
        get
        {
            double step = _description.DivisionPa / _description.PartsOfDivision;
            return _description.LowerPa + (Math.Round((PointerPa - _description.LowerPa) / step) * step);
        }
    }

    private double Span => _description.UpperPa - _description.LowerPa;

    /// <summary>Lets it follow one step of the plant.</summary>
    public void Follow(double gaugePa)
    {
        _element.Follow(gaugePa);
        double friction = _description.FrictionPercent / 100;
        _pointer = Math.Clamp(_pointer, _element.Share - friction, _element.Share + friction);
    }

    /// <summary>A light tap: friction lets go, and the pointer goes where the element is.</summary>
    public void Tap() => _pointer = _element.Share;
}
