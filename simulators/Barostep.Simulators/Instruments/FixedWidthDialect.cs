using System.Globalization;
using System.Text;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// The fixed-width dialect of instruments that tell pressure: one frame, one command letter, address and checksum,
/// CR-terminated. What is not addressed to the instrument, or does not add up, it does not answer.
/// </summary>
public sealed class FixedWidthDialect(PressureIndicator instrument) : IMessageReader
{
    private const int LongestFrame = 32;
    private const int NumberWidth = 10;

    private readonly byte[] _frame = new byte[LongestFrame];
    private readonly byte[] _reply = new byte[64];
    private readonly byte _tens = (byte)('0' + (instrument.Description.Address / 10));
    private readonly byte _ones = (byte)('0' + (instrument.Description.Address % 10));
    private int _length;
    private int _replyLength;
    private int _lastRefusal;

    public long WakeMicros => long.MaxValue;

    /// <summary>Sum of all bytes modulo 256.</summary>
    public static byte Checksum(ReadOnlySpan<byte> bytes)
    {
        int sum = 0;
        foreach (byte value in bytes)
        {
            sum += value;
        }

        return (byte)sum;
    }

    public void Wake(long nowMicros)
    {
    }

    public void PowerOn()
    {
        _length = 0;
        _lastRefusal = 0;
    }

    public void Receive(byte value, long nowMicros)
    {
        if (value == '>')
        {
            _length = 0;
        }

        if (value != '\r')
        {
            // One place past the end marks a frame that is too long.
            if (_length < LongestFrame)
            {
                _frame[_length] = value;
            }

            _length = Math.Min(_length + 1, LongestFrame + 1);
            return;
        }

        int length = _length;
        _length = 0;
        if (length is >= 6 and <= LongestFrame && IsForMe(_frame.AsSpan(0, length)))
        {
            Answer(_frame[3], _frame.AsSpan(4, length - 6));
            instrument.Replies(_reply.AsSpan(0, _replyLength), nowMicros);
        }
    }

    private bool IsForMe(ReadOnlySpan<byte> frame) =>
        frame[0] == '>' && frame[1] == _tens && frame[2] == _ones
        && Encoding.ASCII.GetString(frame[^2..]) == Checksum(frame[..^2]).ToString("X2", CultureInfo.InvariantCulture);

    private void Answer(byte command, ReadOnlySpan<byte> argument)
    {
        Begin('<');
        Put((char)command);
        bool accepted = command == 'W' ? SetUnit(argument) : argument.IsEmpty;
        switch ((char)command)
        {
            case 'I':
                Put(instrument.Description.Kind == InstrumentKind.Gauge ? "GAUGE" : "INDIC");
                Put(instrument.Serial.PadRight(8, '0')[..8]);
                Put("1.0");
                break;
            case 'P':
                PutReading();
                break;
            case 'U' or 'W':
                PutUnit(instrument.Gauge);
                break;
            case 'B':
                PutNumber(instrument.BarometerPa / instrument.Unit.Pascals);
                PutUnit(gauge: false);
                Put('0');
                break;
            case 'R':
                Put(instrument.Restarts.ToString("0000", CultureInfo.InvariantCulture));
                break;
            case 'E':
                Put(_lastRefusal.ToString("00", CultureInfo.InvariantCulture));
                _lastRefusal = 0;
                break;
            default:
                Refuse(1);
                End();
                return;
        }

        if (!accepted)
        {
            Refuse(2);
        }

        End();
    }

    private bool SetUnit(ReadOnlySpan<byte> argument)
    {
        if (argument.Length != 2 || argument[1] is not ((byte)'G' or (byte)'A'))
        {
            return false;
        }

        foreach (UnitOfPressure unit in UnitOfPressure.All)
        {
            if (unit.Letter == argument[0])
            {
                instrument.SetUnit(unit, argument[1] == 'G');
                return true;
            }
        }

        return false;
    }

    private void PutReading()
    {
        if (instrument.Sensor.OverRange || instrument.ReadingPa is not { } reading)
        {
            bool over = instrument.Sensor.OverRange;
            Put('+');
            for (int i = 0; i < NumberWidth; i++)
            {
                Put(over ? '^' : '-');
            }

            PutUnit(instrument.Gauge);
            Put(over ? '1' : '2');
            return;
        }

        PutNumber(reading / instrument.Unit.Pascals);
        PutUnit(instrument.Gauge);
        Put('0');
    }

    private void PutNumber(double value)
    {
        Put(value < 0 ? '-' : '+');
        int decimals = instrument.Unit.Decimals;
        string digits = Math.Abs(value).ToString(decimals == 0 ? "F0" : "F" + (char)('0' + decimals), CultureInfo.InvariantCulture);
        Put(digits.PadLeft(NumberWidth, '0'));
    }

    private void PutUnit(bool gauge)
    {
        Put(instrument.Unit.Letter);
        Put(gauge ? 'G' : 'A');
    }

    private void Refuse(int refusal)
    {
        _lastRefusal = refusal;
        Begin('!');
        Put(refusal.ToString("00", CultureInfo.InvariantCulture));
    }

    private void Begin(char start)
    {
        _replyLength = 0;
        Put(start);
        _reply[_replyLength++] = _tens;
        _reply[_replyLength++] = _ones;
    }

    private void End()
    {
        Put(Checksum(_reply.AsSpan(0, _replyLength)).ToString("X2", CultureInfo.InvariantCulture));
        Put('\r');
    }

    private void Put(char value) => _reply[_replyLength++] = (byte)value;

    private void Put(string text) => _replyLength += Encoding.ASCII.GetBytes(text, _reply.AsSpan(_replyLength));
}
