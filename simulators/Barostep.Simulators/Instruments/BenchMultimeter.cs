namespace Barostep.Simulators.Instruments;

/// <summary>
/// A bench multimeter in the transmitter's loop: current, the voltage across its burden, and the burden's resistance.
/// A measurement integrates for a number of power line cycles and is told when it is done.
/// </summary>
public sealed class BenchMultimeter : Instrument
{
    private const double PowerLineMicros = 20_000;
    private const double BurdenOhm = 250;

    private readonly Pcg32 _random;
    private readonly TextDialect _text;
    private double _cycles;
    private double _currentA;
    private double _loopNoiseA;
    private double _sumA;
    private int _count;

    public BenchMultimeter(InstrumentDescription description, Pcg32 random)
        : base(description)
    {
        _random = random;
        _cycles = description.PowerLineCycles;
        _text = new TextDialect(this, "MULTIMETER") { Reset = PowerOn };
        _text.Headers
            .Add("MEASure:CURRent[:DC]?", u => Begin(u, done => done.Number(MeasuredA())))
            .Add("MEASure:VOLTage[:DC]?", u => Begin(u, done => done.Number(MeasuredA() * BurdenOhm)))
            .Add("MEASure:RESistance?", u => Begin(u, done => done.Number(BurdenOhm * Gain)))
            .Add("SENSe:CURRent[:DC]:NPLCycles?", u => u.Number(_cycles))
            .Add("SENSe:CURRent[:DC]:NPLCycles", SetCycles);
    }

    /// <summary>True while the loop's wire is off: no current.</summary>
    public bool OpenLoop { get; set; }

    protected override IMessageReader Messages => _text;

    private double Gain => 1 + (Description.GainErrorPpm * 1e-6);

    protected override void Sense(in Surroundings surroundings)
    {
        _currentA = OpenLoop ? 0 : surroundings.LoopCurrentA;
        _loopNoiseA = OpenLoop ? 0 : surroundings.LoopNoiseA;
        _sumA += _currentA;
        _count++;
    }

    protected override void PowerOn(long nowMicros) => _cycles = Description.PowerLineCycles;

    private void Begin(MessageUnit unit, MessageHandler done)
    {
        _sumA = 0;
        _count = 0;
        unit.PauseUntil(unit.NowMicros + (long)(_cycles * PowerLineMicros), done);
    }

    private double MeasuredA()
    {
        double mean = _count > 0 ? _sumA / _count : _currentA;
        double ownNoiseA = Description.NoiseA / Math.Sqrt(_cycles) * _random.NextNormal();
        double loopNoiseA = _loopNoiseA / Math.Sqrt(Math.Max(1, _count)) * _random.NextNormal();
        return ((mean + loopNoiseA) * Gain) + Description.OffsetA + ownNoiseA;
    }

    private void SetCycles(MessageUnit unit)
    {
        if (!unit.TryPlainNumber(out double cycles))
        {
            return;
        }

        if (cycles is < 0.05 or > 100)
        {
            unit.Status.Report(-222);
            return;
        }

        _cycles = cycles;
    }
}
