using Barostep.Instruments;

namespace Barostep.Tests.Instruments;

/// <summary>A line in memory whose other end is a function of bytes, on the test's own clock.</summary>
internal sealed class ByteLine(Func<byte[], byte[]?> answer) : IByteLine
{
    private readonly Queue<(long DueMicros, byte[] Bytes)> _arriving = new();

    public bool IsOpen { get; set; } = true;

    public long NowMicros { get; set; }

    public List<(long AtMicros, byte[] Bytes)> Sent { get; } = [];

    /// <summary>Every message sent, in hexadecimal.</summary>
    public IEnumerable<string> SentHex => Sent.Select(sent => Convert.ToHexString(sent.Bytes));

    public Func<byte[], byte[]?> Answer { get; set; } = answer;

    public long NextArrival => _arriving.TryPeek(out (long DueMicros, byte[] Bytes) next) ? next.DueMicros : long.MaxValue;

    public void Arrive(long atMicros, byte[] bytes) => _arriving.Enqueue((atMicros, bytes));

    public int Receive(Span<byte> buffer)
    {
        if (NextArrival > NowMicros)
            return 0;
        byte[] bytes = _arriving.Dequeue().Bytes;
        bytes.CopyTo(buffer);
        return bytes.Length;
    }

    public bool Send(ReadOnlySpan<byte> bytes)
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

    public void RunTo(long untilMicros)
    {
        while (true)
        {
            long next = Math.Min(_turns.Advance(Line.NowMicros, Line), Line.NextArrival);
            foreach (InstrumentDriver driver in Drivers)
            {
                while (driver.TryTake(out ExchangeReport report))
                    Reports.Add(report);
            }

            if (next > untilMicros)
                break;
            Assert.True(next >= Line.NowMicros, "a driver asked to be called in the past");
            Line.NowMicros = next;
        }

        Line.NowMicros = untilMicros;
    }

    public IEnumerable<ExchangeReport> Of(Capability capability) => Reports.Where(report => report.Capability == capability);

    public ExchangeReport Only(Capability capability) => Assert.Single(Of(capability));
}
