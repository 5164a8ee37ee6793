using Barostep.Safety;

namespace Barostep.Instruments;

/// <summary>How an exchange ended.</summary>
public enum ExchangeOutcome : byte
{
    /// <summary>The reply matched its pattern.</summary>
    Answered,

    /// <summary>The request was handed to the line and no reply is expected.</summary>
    Sent,

    /// <summary>No complete reply came in time.</summary>
    TimedOut,

    /// <summary>What came was not the expected reply.</summary>
    Garbled,

    /// <summary>The instrument says that the value is outside what it can tell.</summary>
    OverRange,

    /// <summary>The reply names a unit that is unknown, or another than the definition states.</summary>
    WrongUnit,

    /// <summary>The line was not open, or was lost before the reply.</summary>
    LineLost,

    /// <summary>Never sent: the instrument cannot do it, the value does not fit the message, or a newer command overtook it.</summary>
    Refused,
}

/// <summary>One finished exchange. All of it is in the value: nothing is allocated for it.</summary>
public readonly record struct ExchangeReport
{
    /// <summary>The ticket of a vent that the driver sent because its lease ran out.</summary>
    public const long LeaseTicket = -1;

    /// <summary>The ticket of a polled query, and of the driver's own identify.</summary>
    public const long NoTicket = 0;

    public required Capability Capability { get; init; }

    /// <summary>As given with the command; <see cref="NoTicket"/> for polls.</summary>
    public required long Ticket { get; init; }

    public required ExchangeOutcome Outcome { get; init; }

    /// <summary>The number in the reply or, for a command, the number as it was written into the request.</summary>
    public decimal Value { get; init; }

    /// <summary>Unit of <see cref="Value"/>, from the reply or else the definition; null where it is not a pressure.</summary>
    public PressureUnit? Unit { get; init; }

    /// <summary>Reference of <see cref="Value"/>; ignored where <see cref="Unit"/> is null.</summary>
    public PressureReference Reference { get; init; }

    /// <summary>What the reply's part <c>mode</c> means; unknown where there is none.</summary>
    public SourceMode Mode { get; init; }

    /// <summary>When the request's first byte was handed to the line, monotonic; 0 where it never was.</summary>
    public long AskedMicros { get; init; }

    /// <summary>When the exchange ended, monotonic.</summary>
    public long AnsweredMicros { get; init; }

    /// <summary>The reply as it arrived, without its terminator; cut after <see cref="ReplyText.Capacity"/> bytes.</summary>
    public ReplyText Reply { get; init; }

    /// <summary>FNV-1a of all bytes of the reply, so that a frozen reading is seen without comparing texts.</summary>
    public ulong ReplyHash { get; init; }

    /// <summary>
    /// The absolute pressure told; false where the exchange was not answered, has no pressure, or tells one that
    /// no bench can hold (beyond about 9 TPa).
    /// </summary>
    /// <param name="atmosphere">What a gauge value counts from.</param>
    /// <param name="pressure">The pressure in whole millipascals.</param>
    public bool TryGetPressure(Pressure atmosphere, out Pressure pressure)
    {
        pressure = default;
        const decimal largestPascals = 9e12m;
        if (Outcome != ExchangeOutcome.Answered || Unit is null || Math.Abs(Value) > largestPascals / Unit.Pascals)
            return false;
        pressure = new StatedPressure(Value, Unit, Reference).ToAbsolute(atmosphere);
        return true;
    }
}
