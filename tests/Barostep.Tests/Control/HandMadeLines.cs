using System.Globalization;
using System.Text;
using Barostep.Instruments;

namespace Barostep.Tests.Control;

/// <summary>The gas between the two hand-made instruments, gauge.</summary>
internal sealed class HandMadeGas
{
    private const double VentSeconds = 0.5;

    public double Bar { get; set; }

    public string Mode { get; set; } = "HOLD";

    public double TargetBar { get; set; }

    public double RateBarPerSecond { get; set; } = 1;

    public void Flow(double seconds)
    {
        if (Mode == "CONT")
            Bar += Math.Clamp(TargetBar - Bar, -RateBarPerSecond * seconds, RateBarPerSecond * seconds);
        else if (Mode == "VENT")
            Bar *= Math.Exp(-seconds / VentSeconds);
    }
}

/// <summary>A line of which the test says when replies come; notes everything that is sent.</summary>
internal abstract class HandMadeLine(List<string> order) : IByteLine
{
    private readonly Queue<(long DueMicros, byte[] Bytes)> _arriving = new();

    public bool IsOpen { get; set; } = true;

    public long NowMicros { get; set; }

    /// <summary>How long a reply takes, by request.</summary>
    public Func<string, long> DelayMicros { get; set; } = _ => 2_000;

    /// <summary>What comes in place of the true reply; null for silence.</summary>
    public Func<string, string, string?> Distort { get; set; } = (_, reply) => reply;

    public List<(long AtMicros, string Request)> Sent { get; } = [];

    public IEnumerable<string> Requests => Sent.Select(s => s.Request);

    public int Receive(Span<byte> buffer)
    {
        if (!_arriving.TryPeek(out (long DueMicros, byte[] Bytes) next) || next.DueMicros > NowMicros)
            return 0;
        _arriving.Dequeue();
        next.Bytes.CopyTo(buffer);
        return next.Bytes.Length;
    }

    public bool Send(ReadOnlySpan<byte> bytes)
    {
        string request = Encoding.ASCII.GetString(bytes).TrimEnd('\n');
        Sent.Add((NowMicros, request));
        order.Add($"send {request}");
        if (Distort(request, Answer(request)) is { } reply)
            _arriving.Enqueue((NowMicros + DelayMicros(request), Encoding.ASCII.GetBytes(reply + "\n")));
        return IsOpen;
    }

    protected abstract string Answer(string request);

    protected static string Number(double bar) => bar.ToString("0.000000", CultureInfo.InvariantCulture);
}

/// <summary>Answers as the reference of the shipped gauge bench would.</summary>
internal sealed class HandMadeReference(HandMadeGas gas, List<string> order) : HandMadeLine(order)
{
    private int _noise;

    protected override string Answer(string request) => request switch
    {
        "*IDN?" => "SIMULATED,INDICATOR,R-1,1.0",
        // One of the last digits always moves, as in every real sensor.
        "MEAS:PRES?" => $"{Number(gas.Bar + (++_noise % 7 * 1e-6))},BAR,GAUG",
        _ => "?",
    };
}

/// <summary>Answers as the controller of the shipped benches would.</summary>
internal sealed class HandMadeController(HandMadeGas gas, List<string> order) : HandMadeLine(order)
{
    private int _noise;

    public double LimitBar { get; set; } = 20;

    public int Restarts { get; set; }

    public string Unit { get; set; } = "BAR";

    /// <summary>Says yes to a vent and does not.</summary>
    public bool VentStuck { get; set; }

    public IEnumerable<(long AtMicros, string Request)> Vents => Sent.Where(s => s.Request.StartsWith("SOUR:MODE VENT", StringComparison.Ordinal));

    public IEnumerable<(long AtMicros, string Request)> Controls => Sent.Where(s => s.Request.StartsWith("SOUR:MODE CONT", StringComparison.Ordinal));

    /// <summary>Power comes back: everything is at its default.</summary>
    public void Restart()
    {
        Restarts++;
        LimitBar = 20;
        gas.Mode = "HOLD";
    }

    protected override string Answer(string request)
    {
        string[] words = request.Split(' ', ';');
        switch (words[0])
        {
            case "*IDN?":
                return "SIMULATED,CONTROLLER,C-1,1.0";
            case "MEAS:PRES?":
                return $"{Number(gas.Bar + (++_noise % 5 * 1e-6))},{Unit},GAUG";
            case "UNIT:PRES?":
                return $"{Unit};GAUG";
            case "UNIT:PRES":
                Unit = "BAR";
                return "BAR;GAUG";
            case "SOUR:PRES:TARG":
                gas.TargetBar = double.Parse(words[1], CultureInfo.InvariantCulture);
                break;
            case "SOUR:PRES:RATE":
                gas.RateBarPerSecond = double.Parse(words[1], CultureInfo.InvariantCulture);
                return $"{Number(gas.RateBarPerSecond)},BAR";
            case "SOUR:PRES:LIM":
                LimitBar = double.Parse(words[1], CultureInfo.InvariantCulture);
                break;
            case "SOUR:MODE" when words[1] != "VENT" || !VentStuck:
                gas.Mode = words[1];
                return words[1];
            case "SOUR:MODE":
                return words[1];
            case "SOUR:MODE?":
                return gas.Mode;
            case "SYST:REST?":
                return Restarts.ToString(CultureInfo.InvariantCulture);
        }

        if (words[0].StartsWith("SOUR:PRES:TARG", StringComparison.Ordinal))
            return $"{Number(gas.TargetBar)},BAR,GAUG";
        return words[0].StartsWith("SOUR:PRES:LIM", StringComparison.Ordinal) ? $"{Number(LimitBar)},BAR,GAUG" : "?";
    }
}
