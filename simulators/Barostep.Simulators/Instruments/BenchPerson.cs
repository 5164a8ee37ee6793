using System.Globalization;
using System.Text;
using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// A person at the bench: is told in a line what to do, does it with a hand pump, looks at a dial gauge, and answers in a
/// line. It judges the pressure by the display of the reference, and takes a person's time.
/// </summary>
/// <remarks>
/// Lines are <c>NUMBER VERB [BAR]</c>: RAISE, LOWER, RELEASE, HANDSOFF, MARKUP, MARKDOWN and TAPMARK with a gauge pressure
/// where they need one, READ, TAPREAD and CONFIRM. Answers are <c>NUMBER WORDS</c>; only what asks for words is answered.
/// </remarks>
public sealed class BenchPerson : Instrument, IMessageReader
{
    private const int LongestLine = 80;
    private const long LookEveryMicros = 100_000;
    private const long ThinkMicros = 3_000_000;
    private const long CalmMicros = 6_000_000;

    private readonly TextLine _line = new(LongestLine);
    private readonly PumpingHand _hand;
    private readonly DialGauge _dial;
    private string _number = string.Empty;
    private string _verb = "RELEASE";
    private double _goalPa;
    private long _sinceMicros;
    private long _calmSinceMicros;
    private long _wakeMicros = long.MaxValue;

    public BenchPerson(InstrumentDescription description, Plant plant)
        : base(description)
    {
        PersonDescription person = description.Person ?? throw new BenchFileException("a person has a pump and a dial gauge: write [pump] and [dial]");
        _dial = new DialGauge(person.Dial);
        _hand = new PumpingHand(plant, person);
        plant.Vent.Command(1, 0);
    }

    /// <summary>The gauge that the person reads.</summary>
    public DialGauge Dial => _dial;

    long IMessageReader.WakeMicros => _wakeMicros;

    protected override IMessageReader Messages => this;

    void IMessageReader.PowerOn() => _line.Clear();

    void IMessageReader.Receive(byte value, long nowMicros)
    {
        if (_line.TryEnd(value, out string line))
        {
            Take(line.Split(' '), nowMicros);
        }
    }

    void IMessageReader.Wake(long nowMicros)
    {
        if (nowMicros < _wakeMicros)
        {
            return;
        }

        _wakeMicros = nowMicros + LookEveryMicros;
        if (Answer(nowMicros) is { } answer)
        {
            _wakeMicros = long.MaxValue;
            Replies(Encoding.ASCII.GetBytes($"{_number} {answer}\n"), nowMicros);
        }
    }

    protected override void Sense(in Surroundings surroundings)
    {
        _dial.Follow(surroundings.GaugePa);
        double shown = IsOnMark ? _dial.PointerPa : surroundings.GaugePa;
        if (_verb == "TAPMARK" && surroundings.NowMicros % 1_000_000 == 0)
        {
            _dial.Tap();
        }

        bool calm = _hand.Work(_verb, shown, surroundings.GaugePa, _goalPa, surroundings.NowMicros);
        if (!calm)
        {
            _calmSinceMicros = surroundings.NowMicros;
        }
    }

    protected override void PowerOn(long nowMicros)
    {
        // Nothing interrupts a person's power.
    }

    private bool IsOnMark => _verb is "MARKUP" or "MARKDOWN" or "TAPMARK";

    private void Take(string[] words, long nowMicros)
    {
        if (words.Length < 2)
        {
            return;
        }

        _number = words[0];
        _verb = words[1];
        _goalPa = words.Length > 2 && double.TryParse(words[2], NumberStyles.Float, CultureInfo.InvariantCulture, out double bar) ? bar * 1e5 : 0;
        _sinceMicros = nowMicros;
        _calmSinceMicros = nowMicros;
        _hand.Begin(_verb);
        _wakeMicros = _verb is "READ" or "TAPREAD" or "CONFIRM" || IsOnMark ? nowMicros + LookEveryMicros : long.MaxValue;
    }

    private string? Answer(long nowMicros)
    {
        if (IsOnMark)
        {
            return nowMicros - _calmSinceMicros >= CalmMicros ? "on the mark" : null;
        }

        if (nowMicros - _sinceMicros < ThinkMicros)
        {
            return null;
        }

        if (_verb == "TAPREAD")
        {
            _dial.Tap();
        }

        return _verb == "CONFIRM" ? "done" : (_dial.ReadingPa / 1e5).ToString("0.####", CultureInfo.InvariantCulture);
    }
}
