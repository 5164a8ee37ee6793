using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// The relay of a normally open dump valve. A keep-alive holds the valve shut; when none has come for its time the valve
/// opens and stays open until the relay is armed again.
/// </summary>
public sealed class DumpRelay : Instrument, IMessageReader
{
    private const int LongestLine = 16;

    private readonly DumpDescription _description;
    private readonly Valve _valve;
    private readonly char[] _line = new char[LongestLine];
    private int _length;
    private int _lastNumber = -1;
    private long _openAtMicros = long.MaxValue;

    public DumpRelay(DumpDescription description, Valve valve)
        : base(new InstrumentDescription { Kind = InstrumentKind.Dump, Port = description.Port, Baud = description.Baud })
    {
        _description = description;
        _valve = valve;
    }

    /// <summary>True while keep-alives hold the valve shut.</summary>
    public bool Armed { get; private set; }

    long IMessageReader.WakeMicros => long.MaxValue;

    protected override IMessageReader Messages => this;

    void IMessageReader.Wake(long nowMicros)
    {
    }

    void IMessageReader.PowerOn() => _length = 0;

    void IMessageReader.Receive(byte value, long nowMicros)
    {
        if (value != '\n')
        {
            _length = Math.Min(_length + 1, LongestLine + 1);
            if (_length <= LongestLine)
            {
                _line[_length - 1] = (char)value;
            }

            return;
        }

        if (_length is > 0 and <= LongestLine)
        {
            Obey(_line.AsSpan(0, _length), nowMicros);
        }

        _length = 0;
    }

    protected override void Sense(in Surroundings surroundings)
    {
        if (Armed && surroundings.NowMicros >= _openAtMicros)
        {
            Open(surroundings.NowMicros);
        }
    }

    protected override void PowerOn(long nowMicros) => Open(nowMicros);

    private void Obey(ReadOnlySpan<char> line, long nowMicros)
    {
        if (line is "?")
        {
            Replies(Armed ? "SHUT\n"u8 : "OPEN\n"u8, nowMicros);
        }
        else if (line is "OPEN")
        {
            Open(nowMicros);
        }
        else if (line is "ARM")
        {
            Armed = true;
            _lastNumber = -1;
            Extend(nowMicros);
        }
        else if (Armed && line[0] == 'K' && int.TryParse(line[1..], out int number) && number != _lastNumber)
        {
            _lastNumber = number;
            Extend(nowMicros);
        }
    }

    // A number that repeats does not count: a sender that hangs may repeat itself.
    private void Extend(long nowMicros)
    {
        _openAtMicros = nowMicros + _description.KeepAliveMicros;
        _valve.Command(0, nowMicros);
    }

    private void Open(long nowMicros)
    {
        Armed = false;
        _openAtMicros = long.MaxValue;
        _valve.Command(1, nowMicros);
    }
}
