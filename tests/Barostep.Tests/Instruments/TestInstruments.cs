using System.Text;
using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Tests.Instruments;

/// <summary>A pressure controller of our invention, with one exchange of each kind.</summary>
internal static class TestInstruments
{
    public const string IdentityReply = "DISTRICT WORKS,PC-40,W1207,2.1";

    public static InstrumentDefinition Controller(int retries = 1, bool identifies = true, long timeoutMicros = 200_000) => new()
    {
        Name = "pc-40",
        Title = "Workshop pressure controller",
        Role = InstrumentRole.Controller,
        Line = new LineSettings(115_200, 8, LineParity.None, 1),
        Framing = new Framing("\r\n"u8.ToArray(), 80, 20_000),
        ExpectedIdentity = new Dictionary<string, string> { ["model"] = "PC-40" },
        Exchanges = Exchanges(retries)
            .Where(e => identifies || e.Capability != Capability.Identify)
            .ToDictionary(e => e.Capability, e => e with { TimeoutMicros = timeoutMicros }),
        UnitWords = new Dictionary<string, StatedUnit>
        {
            ["bar"] = new(PressureUnit.Bar, PressureReference.Gauge),
            ["bara"] = new(PressureUnit.Bar, PressureReference.Absolute),
        },
        ModeWords = new Dictionary<string, SourceMode> { ["CTRL"] = SourceMode.Controlling, ["VENT"] = SourceMode.Venting },
    };

    public static FittedInstrument Fitted(InstrumentDefinition definition, string port = "test", string? serial = "W1207") =>
        new(definition, port, null, serial, 0);

    /// <summary>What the well-behaved instrument says to a request; null for silence.</summary>
    public static string? Answer(string request) => request switch
    {
        "*IDN?" => IdentityReply,
        "P?" => "12.345,bar",
        "U?" => "bar",
        "M?" => "CTRL",
        "SP?" => "16.0000",
        "T 16.0000" or "VENT" or "CTRL" => null,
        _ => "?",
    };

    private static IEnumerable<ExchangeDefinition> Exchanges(int retries) =>
    [
        Exchange(Capability.Identify, "*IDN?", "{maker:text},{model:text},{serial:text},{version:text}", retries),
        Exchange(Capability.ReadPressure, "P?", "{value:number},{unit:word}", retries),
        Exchange(Capability.ReadUnit, "U?", "{unit:word}", retries),
        Exchange(Capability.ReadMode, "M?", "{mode:word}", retries),
        Exchange(Capability.ReadSetPoint, "SP?", "{value:number}", retries) with { Unit = PressureUnit.Bar, Reference = PressureReference.Gauge },
        Exchange(Capability.WriteSetPoint, "T {value:0.0000}", null, 0) with { Unit = PressureUnit.Bar, Reference = PressureReference.Gauge },
        Exchange(Capability.Control, "CTRL", null, 0),
        Exchange(Capability.WriteRate, "R {value:0.0}", "OK", 3),
        Exchange(Capability.Vent, "VENT", null, 0),
    ];

    private static ExchangeDefinition Exchange(Capability capability, string request, string? reply, int retries)
    {
        Assert.True(RequestTemplate.TryParse(request, out RequestTemplate template, out string error), error);
        ReplyPattern? pattern = null;
        if (reply is not null)
            Assert.True(ReplyPattern.TryParse(reply, out pattern, out error), error);
        return new ExchangeDefinition(capability, template, pattern, null, null, 0, retries);
    }
}

/// <summary>An instrument in memory: takes requests, and gives its replies when the test's clock reaches them.</summary>
internal sealed class ScriptedLine(Func<string, string?> answer) : MemoryLine
{
    public long DelayMicros { get; set; } = 5_000;

    public Func<string, string?> Answer { get; set; } = answer;

    public List<(long AtMicros, string Request)> Sent { get; } = [];

    public void Arrive(long atMicros, string text) => Arrive(atMicros, Encoding.Latin1.GetBytes(text));

    public override bool Send(ReadOnlySpan<byte> bytes)
    {
        string request = Encoding.Latin1.GetString(bytes);
        Assert.EndsWith("\r\n", request, StringComparison.Ordinal);
        Sent.Add((NowMicros, request[..^2]));
        if (Answer(request[..^2]) is { } reply)
            Arrive(NowMicros + DelayMicros, reply + "\r\n");
        return IsOpen;
    }
}

/// <summary>A driver and its line on one virtual clock.</summary>
internal sealed class DriverBench
{
    private readonly LineTurns _turns;

    public DriverBench(InstrumentDefinition? definition = null, Func<string, string?>? answer = null, string? serial = "W1207")
    {
        Driver = new InstrumentDriver(TestInstruments.Fitted(definition ?? TestInstruments.Controller(), serial: serial));
        _turns = new LineTurns([Driver]);
        Line = new ScriptedLine(answer ?? TestInstruments.Answer);
    }

    public InstrumentDriver Driver { get; }

    public ScriptedLine Line { get; }

    public List<ExchangeReport> Reports { get; } = [];

    public IEnumerable<string> Requests => Line.Sent.Select(s => s.Request);

    public void RunTo(long untilMicros) => Line.Run(_turns, untilMicros, Reports);

    public IEnumerable<ExchangeReport> Of(Capability capability) => Reports.Where(r => r.Capability == capability);
}
