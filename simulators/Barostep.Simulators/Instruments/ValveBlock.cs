using System.Globalization;
using System.Text;
using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// The valve block of a pump: it opens the fill or the bleed valve for the time it is told, and shuts it again by its own
/// clock. It tells its own pressure and makes nothing of it. Without power the fill is shut and the bleed open.
/// </summary>
public sealed class ValveBlock : Instrument, IMessageReader
{
    private const int LongestLine = 40;
    private const long LongestPulseMicros = 1_000_000;

    private readonly Plant _plant;
    private readonly TextLine _line = new(LongestLine);
    private string _mode = "VENT";
    private long _shutAtMicros = long.MaxValue;

    public ValveBlock(InstrumentDescription description, Plant plant, Pcg32 random)
        : base(description)
    {
        _plant = plant;
        Sensor = new PressureSensor(description, 0, random);
        plant.Vent.Command(1, 0);
    }

    /// <summary>Pulses since the bench started, restarts included.</summary>
    public int Pulses { get; private set; }

    /// <summary>The sensor between the valves and the volume.</summary>
    public PressureSensor Sensor { get; }

    long IMessageReader.WakeMicros => _shutAtMicros;

    protected override IMessageReader Messages => this;

    void IMessageReader.Wake(long nowMicros)
    {
        if (nowMicros >= _shutAtMicros)
        {
            Stand("SHUT", 0, nowMicros);
        }
    }

    void IMessageReader.PowerOn() => _line.Clear();

    void IMessageReader.Receive(byte value, long nowMicros)
    {
        if (!_line.TryEnd(value, out string line))
        {
            return;
        }

        Replies(Encoding.ASCII.GetBytes(Answer(line, nowMicros) + "\n"), nowMicros);
    }

    protected override void Sense(in Surroundings surroundings) => Sensor.Follow(surroundings.GaugePa, surroundings.NowMicros);

    protected override void PowerOn(long nowMicros)
    {
        Sensor.Forget();
        Stand("VENT", 1, nowMicros);
    }

    private string Answer(string line, long nowMicros)
    {
        switch (line)
        {
            case "ID?":
                return $"VALVES;{Serial};1";
            case "READ?":
                return Sensor.OverRange || Sensor.ReadingPa is not { } gaugePa
                    ? "NONE"
                    : string.Create(CultureInfo.InvariantCulture, $"{gaugePa / 1e5:+00.00000;-00.00000} BAR");
            case "MODE?":
                return _mode;
            case "PULSES?":
                return Pulses.ToString(CultureInfo.InvariantCulture);
            case "RESTARTS?":
                return Restarts.ToString(CultureInfo.InvariantCulture);
            case "SHUT":
                Stand("SHUT", 0, nowMicros);
                return "OK SHUT";
            case "VENT":
                Stand("VENT", 1, nowMicros);
                return "OK VENT";
            default:
                return Pulse(line, nowMicros);
        }
    }

    private string Pulse(string line, long nowMicros)
    {
        string[] words = line.Split(' ');
        bool timed = words.Length == 2 && double.TryParse(words[1], NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double ms)
            && ms is > 0 and <= LongestPulseMicros / 1000;
        if (!timed || words[0] is not ("FILL" or "BLEED"))
        {
            return "NO";
        }

        Valve opened = words[0] == "FILL" ? _plant.Fill : _plant.Vent;
        Valve other = words[0] == "FILL" ? _plant.Vent : _plant.Fill;
        other.Command(0, nowMicros);
        opened.Command(1, nowMicros);
        _mode = words[0];
        Pulses++;
        _shutAtMicros = nowMicros + (long)(1000 * double.Parse(words[1], CultureInfo.InvariantCulture));
        return $"OK {line}";
    }

    private void Stand(string mode, double bleed, long nowMicros)
    {
        _mode = mode;
        _shutAtMicros = long.MaxValue;
        _plant.Fill.Command(0, nowMicros);
        _plant.Vent.Command(bleed, nowMicros);
    }
}
