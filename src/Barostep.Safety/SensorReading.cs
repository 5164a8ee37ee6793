namespace Barostep.Safety;

/// <summary>What became of the newest question to a sensor.</summary>
public enum ReadingQuality : byte
{
    /// <summary>The bench has no such sensor; nothing is required of it.</summary>
    NotFitted,

    /// <summary>Fitted, and not yet answered since the start.</summary>
    NoneYet,

    /// <summary>Answered, matched to its question, numeric, within the instrument's span, in the commanded unit.</summary>
    Good,

    /// <summary>No answer within the line's time-out.</summary>
    NoReply,

    /// <summary>An answer that does not fit the question or its framing.</summary>
    Garbled,

    /// <summary>Over-range token, not a number, or outside the instrument's span.</summary>
    OverRange,

    /// <summary>Answered in another unit or reference than the one commanded.</summary>
    WrongUnit,

    /// <summary>The line hung up or its device went away.</summary>
    LineLost,
}

/// <summary>The newest report of one pressure sensor. Its value counts only while its quality is good.</summary>
/// <param name="Quality">What became of the question.</param>
/// <param name="Value">The absolute pressure; meaningless unless <paramref name="Quality"/> is <see cref="ReadingQuality.Good"/>.</param>
/// <param name="AskedAtMicros">When the question was sent, monotonic: a reading's age counts from here.</param>
/// <param name="AnsweredAtMicros">When the answer was complete.</param>
/// <param name="RawHash">A hash of the characters that carried the value, for the frozen test.</param>
/// <param name="Count">Answers and failures since the start: two reports with one count are one report.</param>
public readonly record struct SensorReading(
    ReadingQuality Quality,
    Pressure Value,
    long AskedAtMicros,
    long AnsweredAtMicros,
    ulong RawHash,
    long Count)
{
    /// <summary>The report of a sensor that the bench does not have.</summary>
    public static readonly SensorReading NotFitted;

    /// <summary>The report of a sensor that has not answered yet.</summary>
    public static readonly SensorReading NoneYet = new(ReadingQuality.NoneYet, Pressure.Vacuum, 0, 0, 0, 0);

    public bool IsFitted => Quality != ReadingQuality.NotFitted;

    public bool IsGood => Quality == ReadingQuality.Good;
}
