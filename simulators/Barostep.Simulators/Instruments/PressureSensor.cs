using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// A gauge pressure sensor with its converter: lag, gain, offset, noise, resolution, and a conversion period, so that
/// a reading has an age. Every defect that a fault line can bring is a property.
/// </summary>
public sealed class PressureSensor
{
    private readonly InstrumentDescription _description;
    private readonly Pcg32 _random;
    private readonly MeasuringElement? _element;
    private double _lagShare;
    private double _laggedPa;
    private double _driftPa;
    private long _dueMicros;

    public PressureSensor(InstrumentDescription description, double restingGaugePa, Pcg32 random)
    {
        _description = description;
        _random = random;
        _laggedPa = restingGaugePa;
        _lagShare = Lag.Share(description.LagMicros, Plant.StepMicros);
        if (description.Kind == InstrumentKind.Gauge)
        {
            _element = new MeasuringElement(
                description.Errors, description.LowerPa, description.UpperPa, description.LagMicros, Plant.StepMicros, restingGaugePa);
        }
    }

    /// <summary>Newest conversion, gauge, Pa; null before the first since power on.</summary>
    public double? ReadingPa { get; private set; }

    public bool Frozen { get; set; }

    public bool ForcedOverRange { get; set; }

    public double AddedOffsetPa { get; set; }

    public double AddedGain { get; set; } = 1;

    public double DriftPaPerS { get; set; }

    public double NoiseFactor { get; set; } = 1;

    /// <summary>Times its own lag.</summary>
    public double LagFactor
    {
        set => _lagShare = Lag.Share((long)(value * _description.LagMicros), Plant.StepMicros);
    }

    public bool OverRange => ForcedOverRange
        || (ReadingPa is { } reading && reading > _description.UpperPa + (0.1 * (_description.UpperPa - _description.LowerPa)));

    public void Heal()
    {
        Frozen = false;
        ForcedOverRange = false;
        AddedOffsetPa = 0;
        AddedGain = 1;
        DriftPaPerS = 0;
        _driftPa = 0;
        NoiseFactor = 1;
        LagFactor = 1;
    }

    /// <summary>Forgets the last conversion, as at power on.</summary>
    public void Forget() => ReadingPa = null;

    /// <summary>Follows the pressure through one step of the plant, and converts when a conversion is due.</summary>
    public void Follow(double gaugePa, long nowMicros)
    {
        _element?.Follow(gaugePa);
        _laggedPa += _lagShare * (gaugePa - _laggedPa);
        _driftPa += DriftPaPerS * (Plant.StepMicros * 1e-6);
        if (nowMicros < _dueMicros)
        {
            return;
        }

        long past = nowMicros % _description.UpdateMicros;
        _dueMicros = nowMicros - past + _description.UpdateMicros;
        if (past == 0 && !(Frozen && ReadingPa.HasValue))
        {
            ReadingPa = Convert();
        }
    }

    private double Convert()
    {
        double indicatedPa = _element is null
            ? _laggedPa
            : _description.LowerPa + (_element.Share * (_description.UpperPa - _description.LowerPa));
        double noisePa = NoiseFactor == 1
            ? _description.NoisePa
            : NoiseFactor * Math.Max(_description.NoisePa, _description.ResolutionPa);
        double raw = (indicatedPa * _description.Gain * AddedGain) + _description.OffsetPa + AddedOffsetPa + _driftPa
            + (noisePa * _random.NextNormal());
        double resolution = _description.ResolutionPa;
        return resolution <= 0 ? raw : Math.Round(raw / resolution) * resolution;
    }
}
