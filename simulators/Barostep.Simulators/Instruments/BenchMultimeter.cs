namespace Barostep.Simulators.Instruments;

/// <summary>
/// A bench multimeter in the transmitter's loop: current, the voltage across its burden, and the burden's resistance.
/// A measurement integrates for a number of power line cycles and is told when it is done. With channels, a channel list
/// after the query says which of two is measured: 101 is the loop, 102 the contact of a pressure switch.
/// </summary>
public sealed class BenchMultimeter : Instrument
{
    private const double PowerLineMicros = 20_000;
    private const double BurdenOhm = 250;
    private const string LoopChannel = "(@101)";
    private const string ContactChannel = "(@102)";

    // What SCPI-1999 tells for a reading beyond the range.
    private const double Overload = 9.9e37;

    private readonly Pcg32 _random;
    private readonly TextDialect _text;
    private double _cycles;
    private double _currentA;
    private double _contactOhm;
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
            .Add("MEASure:CURRent[:DC]?", u => OnChannel(u, LoopChannel, done => done.Number(MeasuredA())))
            .Add("MEASure:VOLTage[:DC]?", u => OnChannel(u, LoopChannel, done => done.Number(MeasuredA() * BurdenOhm)))
            .Add("MEASure:RESistance?", u => Begin(u, ResistanceOf(u)))
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
        _contactOhm = surroundings.ContactOhm;
        _sumA += _currentA;
        _count++;
    }

    protected override void PowerOn(long nowMicros) => _cycles = Description.PowerLineCycles;

    private MessageHandler ResistanceOf(MessageUnit unit)
    {
        bool contact = unit.HasParameters && unit.TryWord(out ReadOnlySpan<char> channel) && channel.SequenceEqual(ContactChannel);
        return done => done.Number(contact ? Math.Min(_contactOhm, Overload) : BurdenOhm * Gain);
    }

    private void OnChannel(MessageUnit unit, string only, MessageHandler done)
    {
        if (unit.HasParameters && (!unit.TryWord(out ReadOnlySpan<char> channel) || !channel.SequenceEqual(only)))
        {
            unit.Status.Report(-224);
            return;
        }

        Begin(unit, done);
    }

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
