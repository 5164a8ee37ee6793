using Barostep.Instruments;

namespace Barostep.Tests.Instruments;

/// <summary>One whose other end is a function of bytes.</summary>
internal sealed class ByteLine(Func<byte[], byte[]?> answer) : MemoryLine
{
    public List<(long AtMicros, byte[] Bytes)> Sent { get; } = [];

    /// <summary>Every message sent, in hexadecimal.</summary>
    public IEnumerable<string> SentHex => Sent.Select(sent => Convert.ToHexString(sent.Bytes));

    public Func<byte[], byte[]?> Answer { get; set; } = answer;

    public override bool Send(ReadOnlySpan<byte> bytes)
    {
        Sent.Add((NowMicros, bytes.ToArray()));
        if (Answer(bytes.ToArray()) is { } reply)
            Arrive(NowMicros + 5_000, reply);
        return IsOpen;
    }
}

/// <summary>Drivers on one such line, advanced until a time.</summary>
internal sealed class ByteBench
{
    private readonly LineTurns _turns;

    public ByteBench(Func<byte[], byte[]?> answer, params InstrumentDefinition[] definitions)
    {
        Drivers = [.. definitions.Select(definition => new InstrumentDriver(Definitions.Fitted(definition)))];
        _turns = new LineTurns(Drivers);
        Line = new ByteLine(answer);
    }

    public IReadOnlyList<InstrumentDriver> Drivers { get; }

    public InstrumentDriver Driver => Drivers[0];

    public ByteLine Line { get; }

    public List<ExchangeReport> Reports { get; } = [];

    public void RunTo(long untilMicros) => Line.Run(_turns, untilMicros, Reports);

    public IEnumerable<ExchangeReport> Of(Capability capability) => Reports.Where(report => report.Capability == capability);

    public ExchangeReport Only(Capability capability) => Assert.Single(Of(capability));
}
