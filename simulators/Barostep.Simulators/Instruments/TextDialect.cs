namespace Barostep.Simulators.Instruments;

/// <summary>
/// The text dialect: messages by the grammar of IEEE 488.2 and SCPI-1999, LF-terminated, with compound messages that
/// may pause while a conversion runs.
/// </summary>
public sealed class TextDialect : IMessageReader
{
    private const int LongestMessage = 256;

    private readonly Instrument _instrument;
    private readonly HeaderTree _headers = new();
    private readonly MessageUnit _unit;
    private readonly Queue<byte> _waiting = new();
    private readonly char[] _received = new char[LongestMessage];
    private readonly char[] _message = new char[LongestMessage];
    private int _receivedLength;
    private bool _overrun;
    private int _messageLength;
    private int _position;
    private HeaderTree.Node? _level;

    public TextDialect(Instrument instrument, string model)
    {
        _instrument = instrument;
        Status = new StatusRegisters();
        _unit = new MessageUnit(Status);
        AddCommonCommands(model);
        AddSystem();
        AddStatus();
        Status.PowerOn();
    }

    public StatusRegisters Status { get; }

    public HeaderTree Headers => _headers;

    public long WakeMicros => _unit.PausedUntilMicros;

    /// <summary>What <c>*RST</c> does beyond the dialect.</summary>
    public Action<long> Reset { get; set; } = static _ => { };

    public void PowerOn()
    {
        _receivedLength = 0;
        _overrun = false;
        _waiting.Clear();
        _unit.Abandon();
        _messageLength = 0;
        Status.PowerOn();
    }

    public void Receive(byte value, long nowMicros)
    {
        if (_unit.Continuation is not null)
        {
            if (_waiting.Count < LongestMessage)
            {
                _waiting.Enqueue(value);
            }

            return;
        }

        Take(value, nowMicros);
    }

    public void Wake(long nowMicros)
    {
        _unit.Resume(nowMicros);
        RunMessage(nowMicros);
        while (_unit.Continuation is null && _waiting.TryDequeue(out byte value))
        {
            Take(value, nowMicros);
        }
    }

    private void Take(byte value, long nowMicros)
    {
        if (value == '\n')
        {
            EndMessage(nowMicros);
        }
        else if (_receivedLength == LongestMessage)
        {
            _overrun = true;
        }
        else
        {
            _received[_receivedLength++] = (char)value;
        }
    }

    private void EndMessage(long nowMicros)
    {
        int length = _receivedLength;
        bool overrun = _overrun;
        _receivedLength = 0;
        _overrun = false;
        if (overrun)
        {
            Status.Report(-363);
            return;
        }

        _received.AsSpan(0, length).CopyTo(_message);
        _messageLength = _message.AsSpan(0, length).TrimEnd("\r \t").Length;
        _position = 0;
        _level = null;
        _unit.BeginMessage();
        RunMessage(nowMicros);
    }

    private void RunMessage(long nowMicros)
    {
        while (_position < _messageLength && _unit.Continuation is null)
        {
            ReadOnlySpan<char> rest = _message.AsSpan(_position, _messageLength - _position);
            int end = rest.IndexOf(';');
            int length = end < 0 ? rest.Length : end;
            int start = _position;
            _position += length + 1;
            RunUnit(start, length, nowMicros);
        }

        if (_unit.Continuation is null && _unit.ReplyLength > 0)
        {
            _unit.EndReply();
            _instrument.Replies(_unit.ReplyBytes, nowMicros);
            _unit.BeginMessage();
        }
    }

    private void RunUnit(int start, int length, long nowMicros)
    {
        ReadOnlySpan<char> whole = _message.AsSpan(start, length);
        ReadOnlySpan<char> text = whole.Trim(" \t");
        if (text.IsEmpty)
        {
            return;
        }

        if (text.ContainsAnyExceptInRange(' ', '~'))
        {
            Status.Report(-102);
            return;
        }

        int blank = text.IndexOf(' ');
        ReadOnlySpan<char> header = blank < 0 ? text : text[..blank];
        MessageHandler? handler = header[0] == '*' ? _headers.FindCommon(header) : _headers.Find(header, ref _level);
        if (handler is null)
        {
            Status.Report(-113);
            return;
        }

        int textStart = start + whole.IndexOf(text[0]);
        int parameterStart = textStart + (blank < 0 ? text.Length : blank);
        int textEnd = textStart + text.Length;
        while (parameterStart < textEnd && _message[parameterStart] == ' ')
        {
            parameterStart++;
        }

        _unit.BeginUnit(_message, parameterStart..textEnd, nowMicros);
        handler(_unit);
    }

    private void AddCommonCommands(string model) => _headers
        .Add("*IDN?", u => u.Text($"SIMULATED,{model},{_instrument.Serial},1.0"))
        .Add("*RST", u => Reset(u.NowMicros))
        .Add("*CLS", u => u.Status.Clear())
        .Add("*ESR?", u => u.Integer(u.Status.TakeStandardEvents()))
        .Add("*ESE?", u => u.Integer(u.Status.StandardEnable))
        .Add("*ESE", u => u.Status.StandardEnable = u.TryMask(255, out int mask) ? mask : u.Status.StandardEnable)
        .Add("*SRE?", u => u.Integer(u.Status.ServiceEnable))
        .Add("*SRE", u => u.Status.ServiceEnable = u.TryMask(255, out int mask) ? mask & ~64 : u.Status.ServiceEnable)
        .Add("*STB?", u => u.Integer(u.Status.StatusByte))
        .Add("*OPC?", u => u.Integer(1))
        .Add("*OPC", u => u.Status.CompleteOperation())
        .Add("*TST?", u => u.Integer(0))
        .Add("*WAI", static _ => { });

    private void AddSystem() => _headers
        .Add("SYSTem:ERRor[:NEXT]?", static u =>
        {
            int error = u.Status.TakeError();
            u.Integer(error).Text($"\"{StatusRegisters.Text(error)}\"");
        })
        .Add("SYSTem:ERRor:COUNt?", u => u.Integer(u.Status.ErrorCount))
        .Add("SYSTem:VERSion?", u => u.Text("1999.0"))
        .Add("SYSTem:RESTarts?", u => u.Integer(_instrument.Restarts));

    private void AddStatus() => _headers
        .Add("STATus:OPERation[:EVENt]?", u => u.Integer(u.Status.TakeOperationEvents()))
        .Add("STATus:OPERation:CONDition?", u => u.Integer(u.Status.OperationCondition))
        .Add("STATus:OPERation:ENABle?", u => u.Integer(u.Status.OperationEnable))
        .Add("STATus:OPERation:ENABle", u => u.Status.OperationEnable = u.TryMask(32767, out int m) ? m : u.Status.OperationEnable)
        .Add("STATus:QUEStionable[:EVENt]?", u => u.Integer(u.Status.TakeQuestionableEvents()))
        .Add("STATus:QUEStionable:CONDition?", u => u.Integer(u.Status.QuestionableCondition))
        .Add("STATus:QUEStionable:ENABle?", u => u.Integer(u.Status.QuestionableEnable))
        .Add("STATus:QUEStionable:ENABle", u => u.Status.QuestionableEnable = u.TryMask(32767, out int m) ? m : u.Status.QuestionableEnable)
        .Add("STATus:PRESet", u =>
        {
            u.Status.OperationEnable = 0;
            u.Status.QuestionableEnable = 0;
        });
}
