using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

public enum ControllerMode
{
    Vent,
    Hold,
    Control,
}

/// <summary>
/// A closed-loop pressure controller: its own sensor, its own loop at a fixed rate, its own upper limit. It works the
/// plant's valves and is the only instrument that changes anything.
/// </summary>
public sealed class PressureController : PressureIndicator
{
    private const long LoopMicros = 10_000;

    // Settled within this share of the range counts as arrived.
    private const double ArrivedShare = 0.0002;

    // Beyond its limit by this share of its range it vents by itself.
    private const double TripShare = 0.01;

    private readonly Plant _plant;
    private readonly PressureLoop _loop;
    private readonly double _rangePa;
    private double _setPointPa;
    private double _limitPa;
    private double _ratePaPerS;
    private ControllerMode _mode = ControllerMode.Vent;
    private long _nextTurnMicros;

    public PressureController(InstrumentDescription description, Plant plant, Pcg32 random)
        : base(description, plant.AtmospherePa, random)
    {
        if (description.Dialect != Dialect.Text)
        {
            throw new BenchFileException($"instrument '{description.Port}': a controller speaks the text dialect only");
        }

        _plant = plant;
        _rangePa = description.UpperPa - description.LowerPa;
        _loop = new PressureLoop(plant, LoopMicros * 1e-6, description.OvershootShare, _rangePa);
        _limitPa = description.LimitPa;
        _ratePaPerS = description.RatePaPerS;
        AddSourceHeaders(Text!.Headers);
    }

    public ControllerMode Mode => _mode;

    /// <summary>True while the instrument answers everything and acts on nothing.</summary>
    public bool Ignores { get; set; }

    /// <summary>Puts the own upper limit to the top of the range, as a lost setting would.</summary>
    public void LoseLimit() => _limitPa = Description.UpperPa;

    protected override void PowerOn(long nowMicros)
    {
        base.PowerOn(nowMicros);
        _setPointPa = 0;
        _limitPa = Description.LimitPa;
        _ratePaPerS = Description.RatePaPerS;
        Enter(ControllerMode.Vent);
        Ignores = false;

        // Without power the fill valve is shut and the vent valve open.
        _plant.Fill.Command(0, nowMicros);
        _plant.Vacuum?.Command(0, nowMicros);
        _plant.Vent.Command(1, nowMicros);
    }

    protected override void RunFirmware(long nowMicros)
    {
        if (nowMicros < _nextTurnMicros)
        {
            return;
        }

        long past = nowMicros % LoopMicros;
        _nextTurnMicros = nowMicros - past + LoopMicros;
        if (past != 0 || Sensor.ReadingPa is not { } readingPa)
        {
            return;
        }

        if (readingPa > _limitPa + (TripShare * _rangePa) && _mode != ControllerMode.Vent)
        {
            Enter(ControllerMode.Vent);
            Text!.Status.Report(-300);
        }

        bool settling = _mode == ControllerMode.Control && Math.Abs(readingPa - _setPointPa) > ArrivedShare * _rangePa;
        Text!.Status.SetConditions(settling ? 2 : 0, Sensor.OverRange ? 1 : 0);
        if (!Ignores)
        {
            Act(readingPa, nowMicros);
        }
    }

    private void Act(double readingPa, long nowMicros)
    {
        switch (_mode)
        {
            case ControllerMode.Control:
                _loop.Run(readingPa, BarometerPa, _setPointPa, _ratePaPerS, nowMicros);
                break;
            case ControllerMode.Hold:
                _loop.Shut(nowMicros);
                break;
            case ControllerMode.Vent:
                _loop.OpenVent(nowMicros);
                break;
            default:
                throw new InvalidOperationException($"mode {_mode}");
        }
    }

    private void Enter(ControllerMode mode)
    {
        if (mode == ControllerMode.Control && _mode != ControllerMode.Control)
        {
            _loop.StartFrom(Sensor.ReadingPa ?? 0, _setPointPa);
        }

        _mode = mode;
    }

    private void AddSourceHeaders(HeaderTree headers) => headers
        .Add("SOURce:PRESsure:TARGet?", u => TellUnit(u.Number(ToReference(_setPointPa) / Unit.Pascals)))
        .Add("SOURce:PRESsure:TARGet", SetTarget)
        .Add("SOURce:PRESsure:RATE?", u => u.Number(_ratePaPerS / Unit.Pascals).Text(Unit.Suffix))
        .Add("SOURce:PRESsure:RATE", SetRate)
        .Add("SOURce:PRESsure:LIMit?", u => TellUnit(u.Number(ToReference(_limitPa) / Unit.Pascals)))
        .Add("SOURce:PRESsure:LIMit", SetLimit)
        .Add("SOURce:MODE?", u => u.Text(ModeWord))
        .Add("SOURce:MODE", SetMode)
        .Add("SOURce:STATe?", u =>
        {
            TellReading(u).Number(ToReference(_setPointPa) / Unit.Pascals).Number(ToReference(_limitPa) / Unit.Pascals);
            TellUnit(u).Text(ModeWord).Integer(Restarts);
        });

    private string ModeWord => _mode switch
    {
        ControllerMode.Control => "CONT",
        ControllerMode.Hold => "HOLD",
        ControllerMode.Vent => "VENT",
        _ => throw new InvalidOperationException($"mode {_mode}"),
    };

    private void SetTarget(MessageUnit unit)
    {
        if (!TryPressure(unit, out double pressurePa))
        {
            return;
        }

        double gaugePa = FromReference(pressurePa);
        if (gaugePa > _limitPa || gaugePa < Description.LowerPa)
        {
            unit.Status.Report(-222);
            return;
        }

        _setPointPa = gaugePa;
        _loop.Aim(Sensor.ReadingPa ?? 0, gaugePa);
    }

    private void SetRate(MessageUnit unit)
    {
        if (!TryPressure(unit, out double ratePaPerS))
        {
            return;
        }

        if (ratePaPerS <= 0 || ratePaPerS > _rangePa)
        {
            unit.Status.Report(-222);
            return;
        }

        _ratePaPerS = ratePaPerS;
    }

    private void SetLimit(MessageUnit unit)
    {
        if (!TryPressure(unit, out double pressurePa))
        {
            return;
        }

        double gaugePa = FromReference(pressurePa);
        if (gaugePa < Description.LowerPa || gaugePa > Description.UpperPa)
        {
            unit.Status.Report(-222);
            return;
        }

        _limitPa = gaugePa;
    }

    private void SetMode(MessageUnit unit)
    {
        if (!unit.TryWord(out ReadOnlySpan<char> word))
        {
            return;
        }

        if (MessageUnit.Matches(word, "CONTrol"))
        {
            Enter(ControllerMode.Control);
        }
        else if (MessageUnit.Matches(word, "HOLD"))
        {
            Enter(ControllerMode.Hold);
        }
        else if (MessageUnit.Matches(word, "VENT"))
        {
            Enter(ControllerMode.Vent);
        }
        else
        {
            unit.Status.Report(-224);
        }
    }

    private bool TryPressure(MessageUnit unit, out double pascals)
    {
        pascals = 0;
        if (!unit.TryNumber(out double value, out ReadOnlySpan<char> suffix))
        {
            return false;
        }

        UnitOfPressure? given = suffix.IsEmpty ? Unit : UnitOfPressure.WithSuffix(suffix);
        if (given is null)
        {
            unit.Status.Report(-131);
            return false;
        }

        pascals = value * given.Pascals;
        return true;
    }
}
