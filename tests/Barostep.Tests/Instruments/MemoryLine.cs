using Barostep.Instruments;

namespace Barostep.Tests.Instruments;

/// <summary>A line in memory: what its other end sends arrives when the test's own clock reaches it.</summary>
internal abstract class MemoryLine : IByteLine
{
    private readonly Queue<(long DueMicros, byte[] Bytes)> _arriving = new();

    public bool IsOpen { get; set; } = true;

    public long NowMicros { get; set; }

    public long NextArrival => _arriving.TryPeek(out (long DueMicros, byte[] Bytes) next) ? next.DueMicros : long.MaxValue;

    /// <summary>Messages under way.</summary>
    protected int Arriving => _arriving.Count;

    public void Arrive(long atMicros, byte[] bytes) => _arriving.Enqueue((atMicros, bytes));

    public int Receive(Span<byte> buffer)
    {
        if (NextArrival > NowMicros)
            return 0;
        byte[] bytes = _arriving.Dequeue().Bytes;
        bytes.CopyTo(buffer);
        return bytes.Length;
    }

    public abstract bool Send(ReadOnlySpan<byte> bytes);

    /// <summary>Advances the drivers of this line, each at the times that it asks for, until a time; what they report is added.</summary>
    public void Run(LineTurns turns, long untilMicros, List<ExchangeReport> reports)
    {
        while (true)
        {
            long next = Math.Min(turns.Advance(NowMicros, this), NextArrival);
            foreach (InstrumentDriver driver in turns.Drivers)
            {
                while (driver.TryTake(out ExchangeReport report))
                    reports.Add(report);
            }

            if (next > untilMicros)
                break;
            Assert.True(next >= NowMicros, "a driver asked to be called in the past");
            NowMicros = next;
        }

        NowMicros = untilMicros;
    }
}
