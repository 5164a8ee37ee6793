using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Instruments;

/// <summary>
/// Talks to the one instrument of a port, one exchange at a time. Pure: it has no clock, no thread and no I/O of its own,
/// so that a simulated bench and a real one run the same decisions.
/// </summary>
/// <remarks>
/// After each opening the instrument must say who it is before anything else is sent. After a time-out it must say so
/// again: a late reply would otherwise pass for the answer to the next query of the same kind, and every reading from
/// then on would be one exchange older than it claims. An identify reply can only come behind all late ones.
/// </remarks>
public sealed partial class InstrumentDriver
{
    /// <summary>Pause between two identifies to an instrument that is silent or the wrong one; our choice.</summary>
    private const long AskAgainMicros = 500_000;

    /// <summary>A lapsed lease repeats its vent this often, in case the first met a line that was down; our choice.</summary>
    private const long VentAgainMicros = 1_000_000;

    /// <summary>A line that is not quiet for so long is not waited for any longer; our choice, some hundred replies.</summary>
    private const long LostWhileDrainingMicros = 1_000_000;

    /// <summary>Late replies that may stand before the identify reply without the instrument being called lost.</summary>
    private const int FewestIdentifyRetries = 2;

    private readonly ExchangePlan?[] plans = new ExchangePlan?[Capabilities.Count];
    private readonly RequestInbox inbox = new();
    private readonly ReportOutbox outbox = new();
    private readonly PollSchedule polls = new();
    private readonly ReplyReader reader;
    private readonly byte[] message = new byte[RequestTemplate.Longest];
    private readonly long characterNanos;

    private Phase phase = Phase.Closed;
    private Flight flight;
    private Flight? again;
    private ExchangeOutcome againOutcome;
    private volatile bool verified;
    private bool outOfStep;
    private bool lastFailed;
    private int identifyFailures;
    private long identifyAt;
    private long ventAt;
    private long deadline;
    private long? drainingSince;
    private long wireFreeAt;

    public InstrumentDriver(FittedInstrument fitted)
    {
        ArgumentNullException.ThrowIfNull(fitted);
        Fitted = fitted;
        foreach (ExchangeDefinition exchange in fitted.Definition.Exchanges.Values)
            plans[(int)exchange.Capability] = new ExchangePlan(fitted.Definition, exchange);
        reader = new ReplyReader(fitted.Definition.Framing);
        LineSettings line = fitted.Definition.Line;
        int bits = 1 + line.DataBits + (line.Parity == LineParity.None ? 0 : 1) + line.StopBits;
        characterNanos = bits * 1_000_000_000L / (fitted.Baud ?? line.Baud);
    }

    private enum Phase
    {
        Closed,
        Idle,
        Awaiting,
        Draining,
    }

    private ExchangePlan? Identify => plans[(int)Capability.Identify];

    /// <summary>What lets the pressure go: a source vents, a relay opens the dump valve.</summary>
    private ExchangePlan? Release => plans[(int)Capability.Vent] ?? plans[(int)Capability.Open];

    private bool MustIdentify => Identify is not null && (!verified || outOfStep || State == LinkState.Lost);

    /// <summary>Does what is due. Call on bytes, on requests, when the line opens or closes, and at the returned time.</summary>
    /// <param name="nowMicros">Monotonic time.</param>
    /// <param name="line">The port; another one after each opening is allowed.</param>
    /// <returns>When it wants to be called at the latest; <see cref="long.MaxValue"/> for never.</returns>
    public long Advance(long nowMicros, IByteLine line)
    {
        ArgumentNullException.ThrowIfNull(line);
        if (line.IsOpen && phase == Phase.Closed)
            Open(nowMicros);
        polls.Update(inbox, nowMicros);
        if (line.IsOpen)
            Receive(nowMicros, line);
        if (line.IsOpen)
        {
            Expire(nowMicros);
            while (StartNext(nowMicros, line))
            {
                // Messages that bring no reply follow each other at once.
            }
        }

        if (!line.IsOpen)
            Close(nowMicros);
        AnswerHopeless(nowMicros);
        return NextCall();
    }

    private void Open(long now)
    {
        phase = Phase.Idle;
        verified = Identify is null;
        drainingSince = null;
        outOfStep = false;
        lastFailed = false;
        identifyFailures = 0;
        identifyAt = now;
        ventAt = now;
        wireFreeAt = now;
        Interlocked.Increment(ref openings);
        State = verified ? LinkState.Ready : LinkState.Identifying;
    }

    private void Close(long now)
    {
        if (phase == Phase.Awaiting)
            Report(flight, ExchangeOutcome.LineLost, now);
        GiveUpAgain(ExchangeOutcome.LineLost, now);
        phase = Phase.Closed;
        verified = false;
        State = LinkState.Closed;
    }

    private void Receive(long now, IByteLine line)
    {
        Span<byte> chunk = stackalloc byte[512];
        for (int length = line.Receive(chunk); length > 0; length = line.Receive(chunk))
        {
            if (phase == Phase.Awaiting)
                TakeReply(chunk[..length], now);
            else
                TakeStray(now);
        }
    }

    private void TakeStray(long now)
    {
        if (phase == Phase.Idle)
        {
            Interlocked.Increment(ref garbage);
            outOfStep = true;
            Drain(now);
        }

        deadline = now + reader.SilenceMicros;
    }

    private void TakeReply(ReadOnlySpan<byte> bytes, long now)
    {
        switch (reader.Take(bytes))
        {
            case ReplyProgress.Complete:
                Complete(now);
                break;
            case ReplyProgress.Overrun:
                Fail(ExchangeOutcome.Garbled, now);
                break;
            case ReplyProgress.Partial:
                break;
        }
    }

    private void Complete(long now)
    {
        ReplyValues values = default;
        ReplyMatch match = flight.Plan.Exchange.Reply!.Match(reader.Reply, ref values);
        if (match == ReplyMatch.Mismatched)
        {
            Fail(ExchangeOutcome.Garbled, now);
            return;
        }

        phase = Phase.Idle;
        drainingSince = null;
        lastFailed = false;
        if (flight.Plan.Capability == Capability.Identify)
            TakeIdentity(values, now);
        else if (Identify is null)
            State = LinkState.Ready;
        outbox.Add(flight.Plan.Read(WithReply(Draft(flight, ExchangeOutcome.Answered, now)), match, values, reader.Reply));
    }

    private void TakeIdentity(in ReplyValues values, long now)
    {
        string text = reader.Text();
        if (text != IdentityText)
            IdentityText = text;
        IdentityProblem = IdentityCheck.Problem(Fitted, flight.Plan.Exchange.Reply!, values, reader.Reply);
        verified = IdentityProblem.Length == 0;
        State = verified ? LinkState.Ready : LinkState.WrongInstrument;
        outOfStep = false;
        identifyFailures = 0;
        identifyAt = verified ? now : now + AskAgainMicros;
        if (!verified)
            GiveUpAgain(againOutcome, now);
    }

    private void Expire(long now)
    {
        if (phase == Phase.Awaiting && now >= deadline)
            Fail(ExchangeOutcome.TimedOut, now);
        if (phase == Phase.Draining && now >= deadline)
        {
            phase = Phase.Idle;
            drainingSince = null;
        }

        if (now >= LostAt())
        {
            State = LinkState.Lost;
            GiveUpAgain(againOutcome, now);
        }
    }

    /// <summary>A vent that is sent into the noise does not make the line quiet: the time runs on from the first stray byte.</summary>
    private void Drain(long now)
    {
        phase = Phase.Draining;
        drainingSince ??= now;
    }

    /// <summary>When a line that is still being drained counts as lost; <see cref="long.MaxValue"/> for never.</summary>
    private long LostAt() => drainingSince is { } since && State is (LinkState.Identifying or LinkState.Ready)
        ? since + LostWhileDrainingMicros
        : long.MaxValue;

    private void Fail(ExchangeOutcome outcome, long now)
    {
        Interlocked.Increment(ref outcome == ExchangeOutcome.TimedOut ? ref timeOuts : ref garbage);
        outOfStep |= outcome == ExchangeOutcome.TimedOut || lastFailed;
        lastFailed = true;
        Drain(now);

        // Without an identify to get back into step, only a pause as long as the time-out lets a late reply pass by.
        bool waitLonger = Identify is null && outcome == ExchangeOutcome.TimedOut;
        deadline = now + Math.Max(reader.SilenceMicros, waitLonger ? flight.Plan.Exchange.TimeoutMicros : 0);
        if (flight.Own)
            FailIdentify(outcome, now);
        else if (flight.TriesLeft > 0)
            (again, againOutcome) = (flight with { TriesLeft = flight.TriesLeft - 1 }, outcome);
        else
            GiveUp(outcome, now);
    }

    private void FailIdentify(ExchangeOutcome outcome, long now)
    {
        if (outcome == ExchangeOutcome.Garbled && !verified)
            IdentityProblem = $"{Fitted.Port}: the identify reply '{reader.Text()}' is not of the form '{flight.Plan.Exchange.Reply!.Text}'";
        identifyFailures++;
        if (identifyFailures <= Math.Max(flight.Plan.Retries, FewestIdentifyRetries))
            return;
        identifyAt = now + AskAgainMicros;
        State = LinkState.Lost;
        Report(flight, outcome, now);
        GiveUpAgain(againOutcome, now);
    }

    private void GiveUp(ExchangeOutcome outcome, long now)
    {
        if (Identify is null)
            State = LinkState.Lost;
        Report(flight, outcome, now);
    }

    private void GiveUpAgain(ExchangeOutcome outcome, long now)
    {
        if (again is not { } waiting)
            return;
        again = null;
        outbox.Add(Draft(waiting, outcome, now));
    }

    private void Report(in Flight ended, ExchangeOutcome outcome, long now) =>
        outbox.Add(outcome == ExchangeOutcome.Garbled ? WithReply(Draft(ended, outcome, now)) : Draft(ended, outcome, now));

    private ExchangeReport WithReply(in ExchangeReport report) =>
        report with { Reply = new ReplyText(reader.Reply), ReplyHash = ExchangePlan.Hash(reader.Reply) };

    private static ExchangeReport Draft(in Flight ended, ExchangeOutcome outcome, long now) => new()
    {
        Capability = ended.Plan.Capability,
        Ticket = ended.Request.Ticket,
        Outcome = outcome,
        Value = ended.Told,
        Unit = ended.Plan.Exchange.Unit,
        Reference = ended.Plan.Exchange.Reference ?? PressureReference.Absolute,
        AskedMicros = ended.AskedMicros,
        AnsweredMicros = now,
    };

    /// <summary>An exchange that was begun.</summary>
    private readonly record struct Flight(ExchangePlan Plan, Request Request, bool Own, int TriesLeft, decimal Told, long AskedMicros);
}
