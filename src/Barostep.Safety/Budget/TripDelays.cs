namespace Barostep.Safety;

/// <summary>The delays of each path, from a crossing of the ceiling to a shut valve.</summary>
internal sealed class TripDelays
{
    private readonly GuardTiming _timing;

    public TripDelays(GuardTiming timing)
    {
        _timing = timing;
        double byteSeconds = timing.BitsPerByte / timing.Baud;
        Read = ((timing.RequestBytes + timing.ReplyBytes) * byteSeconds) + timing.TurnaroundSeconds + timing.UsbLatencySeconds;
        Command = timing.CommandLine is { } line
            ? (timing.CommandBytes * line.BitsPerByte / line.Baud) + line.TurnaroundSeconds
            : (timing.CommandBytes * byteSeconds) + timing.TurnaroundSeconds;
        EffectivePoll = Math.Max(timing.PollPeriodSeconds, Read + timing.OtherExchangesSeconds);
        Block = timing.CommandLine?.LongestExchangeSeconds ?? Math.Max(Read, timing.OtherExchangesSeconds);
        StaleAge = timing.StaleAgeSeconds ?? ((1 + timing.MissedReplies) * EffectivePoll) + Read + timing.JitterSeconds;
    }

    public double Read { get; }

    public double Command { get; }

    public double EffectivePoll { get; }

    public double Block { get; }

    public double StaleAge { get; }

    public BudgetSum Level() => new("a reading shows it", "s",
    [
        Conversion(),
        new("a whole poll period: it crossed just after a request", EffectivePoll),
        Reading(),
        .. Sensing(),
        Execution(),
        .. Shutting(),
    ]);

    public BudgetSum Stale() => new("readings stop", "s",
    [
        Conversion(),
        .. Aging(),
        .. Sensing(),
        _timing.LeaseSeconds > _timing.ExecutionSeconds
            ? new("the lease of the source's line, should deciding stop then", _timing.LeaseSeconds)
            : Execution(),
        .. Shutting(),
    ]);

    // The last keep-alive may rest on a reading taken just below the ceiling, so the delays of sampling come before the time-out.
    public BudgetSum KeepAlive(KeepAliveRelay relay) => new("the computer stops", "s",
    [
        Conversion(),
        Reading(),
        .. Sensing(),
        Execution(),
        new("keep-alive time-out", relay.TimeoutSeconds * relay.TimeoutCount),
        new("relay", relay.RelaySeconds),
        .. Valve(),
    ]);

    private BudgetTerm Conversion() => new("age of the sample when asked for", _timing.ConversionAgeSeconds);

    private BudgetTerm Reading() => new("request and reply", Read);

    private BudgetTerm Execution() => new("deciding", _timing.ExecutionSeconds);

    private IEnumerable<BudgetTerm> Aging() => _timing.StaleAgeSeconds is { } set
        ? [new("the last reading grows as old as the guard lets it", set)]
        :
        [
            new($"{1 + _timing.MissedReplies} poll periods without a reply", (1 + _timing.MissedReplies) * EffectivePoll),
            Reading(),
            new("late poll", _timing.JitterSeconds),
        ];

    private IEnumerable<BudgetTerm> Sensing() =>
        [new("lag of the sensor", _timing.SensorLagSeconds), new("lag of the tubing", _timing.LineLagSeconds)];

    // A half-duplex line cannot be interrupted: the command waits for the longest exchange already under way.
    private IEnumerable<BudgetTerm> Shutting() =>
        [new("exchange already on the line", Block), new("command to shut", Command), .. Valve()];

    private IEnumerable<BudgetTerm> Valve() =>
        [new("valve begins to move", _timing.ValveDeadSeconds), new("valve shuts", _timing.ValveCloseSeconds)];
}
