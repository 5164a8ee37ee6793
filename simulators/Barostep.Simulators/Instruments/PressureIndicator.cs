using System.Globalization;
using System.Text;
using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// An instrument that tells pressure: the reference indicator, a digital gauge under test, and the telling half of the
/// controller.
/// </summary>
public class PressureIndicator : Instrument
{
    private readonly UnitOfPressure _powerOnUnit;
    private double _atmospherePa;
    private long _tellsAtMicros;

    public PressureIndicator(InstrumentDescription description, double atmospherePa, Pcg32 random)
        : base(description)
    {
        Sensor = new PressureSensor(description, 0, random);
        _atmospherePa = atmospherePa;
        _powerOnUnit = UnitOfPressure.Named(description.Unit)
            ?? throw new BenchFileException($"instrument '{description.Port}': there is no unit '{description.Unit}'");
        Unit = _powerOnUnit;
        Gauge = description.Gauge;
        if (description.Dialect == Dialect.Text)
        {
            Text = new TextDialect(this, Model(description.Kind)) { Reset = PowerOn };
            AddPressureHeaders(Text.Headers);
            Messages = Text;
        }
        else if (description.Dialect == Dialect.Panel)
        {
            Messages = new PanelDialect(this);
        }
        else if (description.Dialect == Dialect.Registers)
        {
            Messages = new RegisterDialect(this);
        }
        else
        {
            Messages = new FixedWidthDialect(this);
        }

        _tellsAtMicros = description.TellsEveryMicros > 0 ? description.TellsEveryMicros : long.MaxValue;
    }

    public override long WakeMicros => Math.Min(base.WakeMicros, _tellsAtMicros);

    public PressureSensor Sensor { get; }

    /// <summary>Unit in which pressure is told and taken now.</summary>
    public UnitOfPressure Unit { get; private set; }

    /// <summary>True when gauge pressure is told, false for absolute.</summary>
    public bool Gauge { get; private set; }

    /// <summary>What the instrument's own barometer tells, Pa absolute.</summary>
    public double BarometerPa => _atmospherePa + Description.BarometerOffsetPa;

    /// <summary>Newest reading in the selected reference, Pa; null before the first conversion.</summary>
    public double? ReadingPa => Sensor.ReadingPa is { } gauge ? ToReference(gauge) : null;

    protected override IMessageReader Messages { get; }

    /// <summary>The text dialect; null when the instrument speaks the other one.</summary>
    protected TextDialect? Text { get; }

    public void SetUnit(UnitOfPressure unit, bool gauge)
    {
        Unit = unit;
        Gauge = gauge;
    }

    public override void Wake(long nowMicros)
    {
        if (base.WakeMicros <= nowMicros)
        {
            base.Wake(nowMicros);
        }

        if (_tellsAtMicros <= nowMicros)
        {
            _tellsAtMicros += Description.TellsEveryMicros;
            double told = Sensor.OverRange || ReadingPa is not { } reading ? 9.9e37 : reading / Unit.Pascals;
            string message = string.Create(CultureInfo.InvariantCulture, $"{told:0.000000E+00},{Unit.Suffix},{(Gauge ? "GAUG" : "ABS")}\n");
            Replies(Encoding.ASCII.GetBytes(message), nowMicros);
        }
    }

    protected double ToReference(double gaugePa) => Gauge ? gaugePa : gaugePa + BarometerPa;

    protected double FromReference(double pressurePa) => Gauge ? pressurePa : pressurePa - BarometerPa;

    protected override void Sense(in Surroundings surroundings)
    {
        _atmospherePa = surroundings.AtmospherePa;
        Sensor.Follow(Description.Kind == InstrumentKind.Barometer ? 0 : surroundings.GaugePa, surroundings.NowMicros);
    }

    protected override void RunFirmware(long nowMicros) =>
        Text?.Status.SetConditions(operation: 0, questionable: Sensor.OverRange ? 1 : 0);

    protected override void PowerOn(long nowMicros)
    {
        Unit = _powerOnUnit;
        Gauge = Description.Gauge;
        Sensor.Forget();
    }

    /// <summary>Adds the newest reading in the selected unit, or the over-range number, to a reply.</summary>
    protected MessageUnit TellReading(MessageUnit unit) =>
        unit.Number(Sensor.OverRange || ReadingPa is not { } reading ? 9.9e37 : reading / Unit.Pascals);

    protected MessageUnit TellUnit(MessageUnit unit) => unit.Text(Unit.Suffix).Text(Gauge ? "GAUG" : "ABS");

    private static string Model(InstrumentKind kind) => kind switch
    {
        InstrumentKind.Controller => "CONTROLLER",
        InstrumentKind.Reference => "INDICATOR",
        InstrumentKind.Gauge => "GAUGE",
        InstrumentKind.Barometer => "BAROMETER",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "does not tell pressure"),
    };

    private void AddPressureHeaders(HeaderTree headers) => headers
        .Add("MEASure:PRESsure?", u => TellUnit(TellReading(u)))
        .Add("MEASure:BARometer?", u => u.Number(BarometerPa / Unit.Pascals).Text(Unit.Suffix).Text("ABS"))
        .Add("UNIT:PRESsure?", u => u.Text(Unit.Suffix))
        .Add("UNIT:PRESsure", SelectUnit)
        .Add("UNIT:REFerence?", u => u.Text(Gauge ? "GAUG" : "ABS"))
        .Add("UNIT:REFerence", SelectReference);

    private void SelectUnit(MessageUnit unit)
    {
        if (!unit.TryWord(out ReadOnlySpan<char> word))
        {
            return;
        }

        if (UnitOfPressure.WithSuffix(word) is { } known)
        {
            Unit = known;
        }
        else
        {
            unit.Status.Report(-224);
        }
    }

    private void SelectReference(MessageUnit unit)
    {
        if (!unit.TryWord(out ReadOnlySpan<char> word))
        {
            return;
        }

        if (MessageUnit.Matches(word, "GAUGe"))
        {
            Gauge = true;
        }
        else if (MessageUnit.Matches(word, "ABSolute"))
        {
            Gauge = false;
        }
        else
        {
            unit.Status.Report(-224);
        }
    }
}
