using System.Globalization;
using System.Text;
using Barostep.Simulators.Terminal;

namespace Barostep.Daemon.Benchmarks;

/// <summary>
/// The instruments' ends of a bench's terminals: every question is answered at once, and the one that matters is
/// time-stamped.
/// </summary>
internal sealed unsafe class ScriptedInstruments : IDisposable
{
    private const string VentCommand = "SOUR:MODE VENT;MODE?";
    private const string ModeQuestion = "SOUR:MODE?";
    private const string OverCeiling = "+0018.00000";

    private readonly PseudoTerminal[] _terminals;
    private readonly StringBuilder[] _requests = [new(), new(), new()];
    private readonly long[] _firstByteAt = new long[3];
    private readonly byte[] _chunk = new byte[512];
    private string _limit = "2.000000E+01";
    private long _readings;
    private long _overAt;
    private long _ventAt;
    private bool _modeTold;

    /// <param name="folder">Where the terminals are linked.</param>
    public ScriptedInstruments(string folder) =>
        _terminals = [new(Path.Combine(folder, "reference"), 9600), new(Path.Combine(folder, "controller"), 19200), new(Path.Combine(folder, "dump"), 9600)];

    /// <summary>Whether the source has told that it vents since it was last told to: nothing more is said without need.</summary>
    public bool IsQuiet => _modeTold;

    /// <summary>Answers for a while.</summary>
    public void Serve(TimeSpan length)
    {
        long began = TimeProvider.System.GetTimestamp();
        while (TimeProvider.System.GetElapsedTime(began) < length)
            Turn(over: false);
    }

    /// <summary>Tells a pressure above the ceiling at the next question, and waits for the vent.</summary>
    /// <returns>Time from the reply's last byte to the command's first one; null where none came in time.</returns>
    public TimeSpan? MeasureVent(TimeSpan longest)
    {
        (_overAt, _ventAt, _modeTold) = (0, 0, false);
        long began = TimeProvider.System.GetTimestamp();
        while (_ventAt == 0 && TimeProvider.System.GetElapsedTime(began) < longest)
            Turn(over: true);
        return _ventAt == 0 ? null : TimeProvider.System.GetElapsedTime(_overAt, _ventAt);
    }

    /// <summary>Sends the same reply to a program that only reads it and then writes the command.</summary>
    public TimeSpan? MeasureBare(TimeSpan longest)
    {
        (_overAt, _ventAt) = (0, 0);
        Answer(0, Framed($"<07P{OverCeiling}BG0"));
        _overAt = TimeProvider.System.GetTimestamp();
        while (_ventAt == 0 && TimeProvider.System.GetElapsedTime(_overAt) < longest)
            Turn(over: false);
        return _ventAt == 0 ? null : TimeProvider.System.GetElapsedTime(_overAt, _ventAt);
    }

    public void Dispose() => Array.ForEach(_terminals, terminal => terminal.Dispose());

    private void Turn(bool over)
    {
        Libc.PollEntry* entries = stackalloc Libc.PollEntry[3];
        for (int i = 0; i < 3; i++)
            entries[i] = new Libc.PollEntry { Descriptor = _terminals[i].Master, Events = Libc.PollIn };
        Libc.TimeSpecification timeout = new() { Nanoseconds = 20_000_000 };
        if (Libc.Poll(entries, 3, &timeout, null) <= 0)
            return;
        long now = TimeProvider.System.GetTimestamp();
        for (int i = 0; i < 3; i++)
        {
            if ((entries[i].Returned & Libc.PollIn) != 0)
                Take(i, now, over);
        }
    }

    private void Take(int line, long now, bool over)
    {
        int length = _terminals[line].Read(_chunk);
        foreach (byte value in _chunk.AsSpan(0, length))
        {
            if (_requests[line].Length == 0)
                _firstByteAt[line] = now;
            if (value is not ((byte)'\n' or (byte)'\r'))
            {
                _requests[line].Append((char)value);
                continue;
            }

            string request = _requests[line].ToString();
            _requests[line].Clear();
            Obey(line, request, over);
        }
    }

    private void Obey(int line, string request, bool over)
    {
        if (line == 0)
        {
            bool isReading = request.StartsWith(">07P", StringComparison.Ordinal);
            bool tells = isReading && over && _overAt == 0;
            Answer(0, Framed(Indicator(request, tells)));
            if (tells)
                _overAt = TimeProvider.System.GetTimestamp();
            return;
        }

        if (line == 1 && request == VentCommand && _overAt > 0 && _ventAt == 0)
            _ventAt = _firstByteAt[1];
        if (line == 1)
            _modeTold = request == ModeQuestion || (_modeTold && request != VentCommand);
        if ((line == 1 ? Controller(request) : request == "?" ? "OPEN" : null) is { } reply)
            Answer(line, reply + "\n");
    }

    private void Answer(int line, string reply) => _terminals[line].Write(Encoding.ASCII.GetBytes(reply));

    private string Indicator(string request, bool over) => request[3] switch
    {
        'I' => "<07IINDICSI-020771.0",
        // The last digit moves, as a living sensor's does.
        'P' => over ? $"<07P{OverCeiling}BG0" : string.Create(CultureInfo.InvariantCulture, $"<07P+0000.0000{++_readings % 10}BG0"),
        'U' => "<07UBG",
        'W' => "<07WBG",
        'R' => "<07R0000",
        _ => "<07E00",
    };

    private string? Controller(string request)
    {
        if (request.StartsWith("SOUR:PRES:LIM ", StringComparison.Ordinal))
            _limit = double.Parse(request.Split(' ')[1], CultureInfo.InvariantCulture).ToString("0.000000E+00", CultureInfo.InvariantCulture);
        return request switch
        {
            "*IDN?" => "SIMULATED,CONTROLLER,SC-01042,1.0",
            "MEAS:PRES?" => string.Create(CultureInfo.InvariantCulture, $"{_readings % 10}.000000E-05,BAR,GAUG"),
            ModeQuestion or VentCommand => "VENT",
            "UNIT:PRES?;REF?" or "UNIT:PRES BAR;REF GAUG;PRES?;REF?" => "BAR;GAUG",
            "SOUR:PRES:TARG?" => "0.000000E+00,BAR,GAUG",
            "SYST:REST?" => "0",
            _ when request.StartsWith("SOUR:PRES:LIM", StringComparison.Ordinal) => $"{_limit},BAR,GAUG",
            _ => null,
        };
    }

    private static string Framed(string frame) =>
        string.Create(CultureInfo.InvariantCulture, $"{frame}{frame.Sum(c => c) % 256:X2}\r");
}
