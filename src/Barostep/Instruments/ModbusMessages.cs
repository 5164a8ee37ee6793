using System.Buffers.Binary;

namespace Barostep.Instruments;

/// <summary>
/// Messages of a Modbus master: MODBUS Application Protocol Specification V1.1b3 for the functions, MODBUS over Serial
/// Line V1.02 for RTU frames, MODBUS Messaging on TCP/IP V1.0b for the header over TCP (all from memory).
/// </summary>
/// <remarks>
/// A reply counts only if it is the answer to the open question: address, function, number of bytes, check, over TCP the
/// transaction, and for a write the registers that it confirms.
/// </remarks>
internal sealed class ModbusMessages : MessageFraming
{
    private const int TcpHeader = 6;
    private const int CheckLength = 2;
    private const byte ExceptionFlag = 0x80;

    /// <summary>Above this speed the silence between frames no longer follows the speed (serial line guide, 2.5.1.1).</summary>
    private const int FastestProportionalBaud = 19_200;

    private const long FixedGapMicros = 1_750;

    private readonly ModbusSettings _settings;
    private readonly byte[] _reply = new byte[TcpHeader + 256];
    private RegisterAccess _asked = new(ModbusFunction.ReadHolding, 0, 0);
    private ushort _transaction;
    private int _length;
    private int _contentLength;

    public ModbusMessages(Framing framing, ModbusSettings settings, LineSettings line, int baud)
        : base(framing)
    {
        _settings = settings;
        int bits = 1 + line.DataBits + (line.Parity == LineParity.None ? 0 : 1) + line.StopBits;
        GapMicros = settings.OverTcp ? 0 : baud > FastestProportionalBaud ? FixedGapMicros : (long)Math.Ceiling(3.5e6 * bits / baud);
    }

    public override long GapMicros { get; }

    public override ReadOnlySpan<byte> Raw => _reply.AsSpan(0, _length);

    public override ReadOnlySpan<byte> Content => _reply.AsSpan(Start + 3, _contentLength);

    public override string Text()
    {
        string bytes = Convert.ToHexString(Raw);
        return ExceptionOf(_reply.AsSpan(Math.Min(Start, _length), Math.Max(0, _length - Start))) is { } exception ? $"{bytes} ({exception})" : bytes;
    }

    /// <summary>Where the address stands: behind the header over TCP.</summary>
    private int Start => _settings.OverTcp ? TcpHeader : 0;

    /// <summary>Bytes of a whole request, and of a whole reply.</summary>
    public static (int Request, int Reply) Lengths(ModbusSettings settings, RegisterAccess access)
    {
        int around = 1 + (settings.OverTcp ? TcpHeader : CheckLength);
        return access.Function switch
        {
            ModbusFunction.ReadHolding or ModbusFunction.ReadInput => (around + 5, around + 2 + (2 * access.Count)),
            ModbusFunction.WriteOne => (around + 5, around + 5),
            ModbusFunction.WriteSeveral => (around + 6 + (2 * access.Count), around + 5),
            _ => throw new ArgumentOutOfRangeException(nameof(access)),
        };
    }

    /// <summary>What an exception reply says; null where the reply is none.</summary>
    /// <param name="message">From the address on.</param>
    public static string? ExceptionOf(ReadOnlySpan<byte> message) => message.Length >= 3 && (message[1] & ExceptionFlag) != 0
        ? message[2] switch
        {
            1 => "exception 1, illegal function",
            2 => "exception 2, illegal data address",
            3 => "exception 3, illegal data value",
            4 => "exception 4, server device failure",
            5 => "exception 5, acknowledged, still at work",
            6 => "exception 6, server device busy",
            8 => "exception 8, memory parity error",
            10 => "exception 10, gateway path unavailable",
            11 => "exception 11, gateway target does not respond",
            byte other => $"exception {other}",
        }
        : null;

    protected override bool BringsReply(ExchangeDefinition exchange) => true;

    protected override int Write(ExchangeDefinition exchange, ReadOnlySpan<byte> content, Span<byte> message)
    {
        _length = 0;
        _contentLength = 0;
        _asked = exchange.Registers!;
        int start = Start;
        Span<byte> body = message[start..];
        body[0] = (byte)_settings.Address;
        body[1] = (byte)_asked.Function;
        BinaryPrimitives.WriteUInt16BigEndian(body[2..], (ushort)_asked.Register);
        int length = 4 + WriteData(content, body[4..]);
        if (!_settings.OverTcp)
        {
            ushort check = ModbusCheck.Of(body[..length]);
            BinaryPrimitives.WriteUInt16LittleEndian(body[length..], check);
            return length + CheckLength;
        }

        BinaryPrimitives.WriteUInt16BigEndian(message, ++_transaction);
        BinaryPrimitives.WriteUInt16BigEndian(message[2..], 0);
        BinaryPrimitives.WriteUInt16BigEndian(message[4..], (ushort)length);
        return start + length;
    }

    protected override ReplyProgress TakeReply(ReadOnlySpan<byte> bytes)
    {
        foreach (byte value in bytes)
        {
            if (_length == _reply.Length || _length == Expected())
                return ReplyProgress.Overrun;
            _reply[_length++] = value;
            if (!FitsSoFar())
                return ReplyProgress.Overrun;
        }

        if (_length != Expected())
            return ReplyProgress.Partial;
        return IsAnswer() ? ReplyProgress.Complete : ReplyProgress.Overrun;
    }

    private int WriteData(ReadOnlySpan<byte> content, Span<byte> data)
    {
        switch (_asked.Function)
        {
            case ModbusFunction.WriteOne:
                content.CopyTo(data);
                return content.Length;
            case ModbusFunction.WriteSeveral:
                BinaryPrimitives.WriteUInt16BigEndian(data, (ushort)_asked.Count);
                data[2] = (byte)content.Length;
                content.CopyTo(data[3..]);
                return 3 + content.Length;
            case ModbusFunction.ReadHolding or ModbusFunction.ReadInput:
                BinaryPrimitives.WriteUInt16BigEndian(data, (ushort)_asked.Count);
                return 2;
            default:
                throw new InvalidOperationException($"{_asked.Function} has no data");
        }
    }

    /// <summary>Length of the whole reply as far as it is known; beyond any reply while it is not.</summary>
    private int Expected()
    {
        int start = Start;
        if (_length < start + 2)
            return int.MaxValue;
        int check = _settings.OverTcp ? 0 : CheckLength;
        bool isException = (_reply[start + 1] & ExceptionFlag) != 0;
        return start + check + (isException ? 3 : IsRead ? 3 + (2 * _asked.Count) : 6);
    }

    private bool IsRead => _asked.Function is ModbusFunction.ReadHolding or ModbusFunction.ReadInput;

    /// <summary>Whether the newest byte can still belong to the answer: noise is known at its first byte.</summary>
    private bool FitsSoFar()
    {
        int at = _length - 1 - Start;
        byte value = _reply[_length - 1];
        return at switch
        {
            < 0 => true,
            0 => value == _settings.Address,
            1 => (value & ~ExceptionFlag) == (byte)_asked.Function,
            2 when IsRead && (_reply[Start + 1] & ExceptionFlag) == 0 => value == 2 * _asked.Count,
            _ => true,
        };
    }

    private bool IsAnswer()
    {
        int start = Start;
        ReadOnlySpan<byte> body = _reply.AsSpan(start, _length - start);
        if (_settings.OverTcp)
        {
            bool header = BinaryPrimitives.ReadUInt16BigEndian(_reply) == _transaction
                && _reply[2] == 0 && _reply[3] == 0 && BinaryPrimitives.ReadUInt16BigEndian(_reply.AsSpan(4)) == body.Length;
            if (!header)
                return false;
        }
        else if (BinaryPrimitives.ReadUInt16LittleEndian(body[^CheckLength..]) != ModbusCheck.Of(body[..^CheckLength]))
        {
            return false;
        }

        if ((body[1] & ExceptionFlag) != 0)
            return false;
        _contentLength = IsRead ? 2 * _asked.Count : 0;

        // A write is confirmed by the registers that it names, the single one by its value as well.
        return IsRead || body.Slice(2, 4).SequenceEqual(Sent.Slice(start + 2, 4));
    }
}
