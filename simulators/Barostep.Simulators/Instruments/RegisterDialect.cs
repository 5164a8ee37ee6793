using System.Buffers.Binary;
using System.Text;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// Registers over Modbus RTU: an instrument that tells pressure as a server with input and holding registers. What is
/// not addressed to it, or fails its check, it does not answer; what it cannot do it answers with an exception.
/// </summary>
public sealed class RegisterDialect(PressureIndicator instrument) : IMessageReader
{
    private const int LongestFrame = 256;
    private const int InputCount = 32;
    private const int HoldingCount = 2;
    private const byte IllegalFunction = 1;
    private const byte IllegalAddress = 2;
    private const byte IllegalValue = 3;

    private readonly byte[] _frame = new byte[LongestFrame];
    private readonly byte[] _reply = new byte[LongestFrame];
    private readonly byte[] _input = new byte[2 * InputCount];
    private readonly byte[] _holding = new byte[2 * HoldingCount];

    // 3.5 characters of 11 bits, at least 1.75 ms: then a frame is over.
    private readonly long _gapMicros = Math.Max(1_750, 38_500_000 / instrument.Description.Baud);
    private int _length;

    public long WakeMicros { get; private set; } = long.MaxValue;

    /// <summary>CRC-16 of Modbus, bit by bit.</summary>
    public static ushort Check(ReadOnlySpan<byte> bytes)
    {
        uint register = 0xFFFF;
        foreach (byte value in bytes)
        {
            register ^= value;
            for (int i = 0; i < 8; i++)
            {
                bool carry = (register & 1) != 0;
                register >>= 1;
                if (carry)
                {
                    register ^= 0xA001;
                }
            }
        }

        return (ushort)register;
    }

    public void PowerOn()
    {
        _length = 0;
        WakeMicros = long.MaxValue;
    }

    public void Receive(byte value, long nowMicros)
    {
        if (_length < LongestFrame)
        {
            _frame[_length++] = value;
        }

        WakeMicros = nowMicros + _gapMicros;
    }

    public void Wake(long nowMicros)
    {
        if (nowMicros < WakeMicros)
        {
            return;
        }

        WakeMicros = long.MaxValue;
        int length = _length;
        _length = 0;
        ReadOnlySpan<byte> frame = _frame.AsSpan(0, length);
        if (length < 4 || frame[0] != instrument.Description.Address || BinaryPrimitives.ReadUInt16LittleEndian(frame[^2..]) != Check(frame[..^2]))
        {
            return;
        }

        int answer = Answer(frame[1], frame[2..^2]);
        BinaryPrimitives.WriteUInt16LittleEndian(_reply.AsSpan(answer), Check(_reply.AsSpan(0, answer)));
        instrument.Replies(_reply.AsSpan(0, answer + 2), nowMicros);
    }

    // Writes address, function and data; returns their length.
    private int Answer(byte function, ReadOnlySpan<byte> data)
    {
        _reply[0] = (byte)instrument.Description.Address;
        _reply[1] = function;
        if (function is not (3 or 4 or 6 or 16))
        {
            return Refuse(IllegalFunction);
        }

        if (data.Length < 4)
        {
            return Refuse(IllegalValue);
        }

        int first = BinaryPrimitives.ReadUInt16BigEndian(data);
        int second = BinaryPrimitives.ReadUInt16BigEndian(data[2..]);
        return function switch
        {
            3 => Tell(Holding(), first, second),
            4 => Tell(Input(), first, second),
            6 => Write(first, data[2..4], data),
            _ when data.Length >= 5 && data[4] == 2 * second && data.Length == 5 + data[4] => Write(first, data[5..], data[..4]),
            _ => Refuse(IllegalValue),
        };
    }

    private int Tell(ReadOnlySpan<byte> registers, int first, int count)
    {
        if (count is < 1 or > 125)
        {
            return Refuse(IllegalValue);
        }

        if (2 * (first + count) > registers.Length)
        {
            return Refuse(IllegalAddress);
        }

        _reply[2] = (byte)(2 * count);
        registers.Slice(2 * first, 2 * count).CopyTo(_reply.AsSpan(3));
        return 3 + (2 * count);
    }

    private int Write(int first, ReadOnlySpan<byte> values, ReadOnlySpan<byte> confirmation)
    {
        if (first + (values.Length / 2) > HoldingCount)
        {
            return Refuse(IllegalAddress);
        }

        Span<byte> changed = stackalloc byte[2 * HoldingCount];
        Holding().CopyTo(changed);
        values.CopyTo(changed[(2 * first)..]);
        int unit = BinaryPrimitives.ReadUInt16BigEndian(changed);
        int reference = BinaryPrimitives.ReadUInt16BigEndian(changed[2..]);
        if (unit >= UnitOfPressure.All.Count || reference > 1)
        {
            return Refuse(IllegalValue);
        }

        instrument.SetUnit(UnitOfPressure.All[unit], gauge: reference == 0);
        confirmation[..4].CopyTo(_reply.AsSpan(2));
        return 6;
    }

    private int Refuse(byte exception)
    {
        _reply[1] |= 0x80;
        _reply[2] = exception;
        return 3;
    }

    private ReadOnlySpan<byte> Holding()
    {
        Put(_holding, 0, (ushort)UnitCode);
        Put(_holding, 1, (ushort)(instrument.Gauge ? 0 : 1));
        return _holding;
    }

    private int UnitCode => UnitOfPressure.All.TakeWhile(unit => unit != instrument.Unit).Count();

    private ReadOnlySpan<byte> Input()
    {
        double? readingPa = instrument.Sensor.OverRange ? null : instrument.ReadingPa;
        float told = readingPa is { } pa ? (float)(pa / instrument.Unit.Pascals) : float.NaN;
        BinaryPrimitives.WriteSingleBigEndian(_input, told);
        Put(_input, 2, (ushort)(instrument.Sensor.OverRange ? 1 : instrument.ReadingPa is null ? 2 : 0));
        Put(_input, 3, (ushort)UnitCode);
        Put(_input, 4, (ushort)(instrument.Gauge ? 0 : 1));
        BinaryPrimitives.WriteSingleBigEndian(_input.AsSpan(10), (float)instrument.BarometerPa);
        Put(_input, 7, (ushort)instrument.Restarts);

        // The same reading in tenths of a pascal, its low word first; over range it stands at its end.
        uint tenths = unchecked((uint)(int)Math.Clamp(10 * (readingPa ?? double.MaxValue), int.MinValue, int.MaxValue));
        Put(_input, 8, (ushort)tenths);
        Put(_input, 9, (ushort)(tenths >> 16));
        _input.AsSpan(32, 24).Clear();
        Encoding.ASCII.GetBytes(instrument.Description.Kind == InstrumentKind.Gauge ? "GAUGE" : "INDICATOR", _input.AsSpan(32, 16));
        Encoding.ASCII.GetBytes(instrument.Serial.PadRight(8, '\0').AsSpan(0, 8), _input.AsSpan(48, 8));
        Put(_input, 28, 100);
        return _input;
    }

    private static void Put(Span<byte> registers, int register, ushort value) =>
        BinaryPrimitives.WriteUInt16BigEndian(registers[(2 * register)..], value);
}
