using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Keeps the newest pressure that one instrument told, with what became of the newest question.</summary>
/// <remarks>Belongs to the guard half: nothing but its cycle reads the line's reports.</remarks>
internal sealed class PressureLink(InstrumentDriver driver, Pressure atmosphere)
{
    private long _count;
    private LinkState _lastState = LinkState.Closed;

    /// <summary>What became of the newest question. Its value is the newest good one, and counts only while the quality is good.</summary>
    public SensorReading Reading { get; private set; } = SensorReading.NoneYet;

    /// <summary>The characters that carried the newest good value.</summary>
    public ReplyText Raw { get; private set; }

    public bool IsWrongInstrument => driver.State == LinkState.WrongInstrument;

    /// <summary>Notes that the line went away, which no report tells while nothing is being asked.</summary>
    public void WatchLine(long nowMicros)
    {
        LinkState state = driver.State;
        if (state == _lastState)
            return;
        bool lost = state is LinkState.Closed or LinkState.Lost && _lastState is LinkState.Ready;
        _lastState = state;
        if (lost)
            Fail(ReadingQuality.LineLost, nowMicros);
    }

    /// <summary>Takes the report of a pressure query.</summary>
    public void Take(in ExchangeReport report)
    {
        if (report.TryGetPressure(atmosphere, out Pressure told))
        {
            Raw = report.Reply;
            Reading = new SensorReading(
                ReadingQuality.Good, told, report.AskedMicros, report.AnsweredMicros, report.ReplyHash, ++_count);
            return;
        }

        Fail(
            report.Outcome switch
            {
                ExchangeOutcome.TimedOut => ReadingQuality.NoReply,
                ExchangeOutcome.Garbled => ReadingQuality.Garbled,
                ExchangeOutcome.WrongUnit => ReadingQuality.WrongUnit,
                ExchangeOutcome.LineLost or ExchangeOutcome.Refused => ReadingQuality.LineLost,
                ExchangeOutcome.OverRange or ExchangeOutcome.Answered => ReadingQuality.OverRange,
                ExchangeOutcome.Sent => ReadingQuality.Garbled,
                _ => throw new ArgumentOutOfRangeException(nameof(report)),
            },
            report.AnsweredMicros);
    }

    private void Fail(ReadingQuality quality, long answeredMicros) =>
        Reading = Reading with { Quality = quality, AnsweredAtMicros = answeredMicros, Count = ++_count };
}
