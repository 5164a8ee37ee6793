namespace Barostep.Instruments;

public sealed partial class InstrumentDriver
{
    /// <summary>Sends what is due first; false where nothing is, or a reply is awaited.</summary>
    private bool StartNext(long now, IByteLine line)
    {
        if (phase is Phase.Awaiting or Phase.Closed || !line.IsOpen)
            return false;
        if (verified && StartUrgent(now, line))
            return true;
        if (phase != Phase.Idle)
            return false;
        if (MustIdentify)
            return now >= identifyAt && Start(Identify!, new Request(Capability.Identify, 0, ExchangeReport.NoTicket), true, now, line);
        return verified && (StartCommand(now, line) || StartAgain(now, line) || StartPoll(now, line));
    }

    private bool StartUrgent(long now, IByteLine line)
    {
        bool lapsed = LeaseLapsed(now);
        if (!lapsed)
            ventAt = now;
        if (lapsed && now >= ventAt)
        {
            ventAt = now + VentAgainMicros;
            inbox.Overtake();
            return Start(Release!, new Request(Release!.Capability, 0, ExchangeReport.LeaseTicket), false, now, line);
        }

        return inbox.TryTakeUrgent(out Request request) && StartRequest(request, now, line);
    }

    private bool StartCommand(long now, IByteLine line) => inbox.TryTakeNormal(out Request request) && StartRequest(request, now, line);

    private bool StartRequest(Request request, long now, IByteLine line)
    {
        bool lapsed = LeaseLapsed(now) && request.Capability.CanRaisePressure();
        if (plans[(int)request.Capability] is { } plan && !lapsed)
            return Start(plan, request, false, now, line);
        Answer(request, ExchangeOutcome.Refused, now);
        return true;
    }

    private bool StartAgain(long now, IByteLine line)
    {
        if (again is not { } waiting)
            return false;
        again = null;
        return Start(waiting.Plan, waiting.Request, false, now, line, waiting.TriesLeft);
    }

    private bool StartPoll(long now, IByteLine line)
    {
        if (polls.Next(out Capability capability) > now)
            return false;
        polls.Asked(capability, now);
        return Start(plans[(int)capability]!, new Request(capability, 0, ExchangeReport.NoTicket), false, now, line);
    }

    private bool Start(ExchangePlan plan, Request request, bool own, long now, IByteLine line, int triesLeft = -1)
    {
        ReadOnlySpan<byte> terminator = Fitted.Definition.Framing.Terminator;
        Span<byte> room = message.AsSpan(0, message.Length - terminator.Length);
        if (!plan.Exchange.Request.TryWrite(request.Value, room, out int length, out decimal told))
        {
            Answer(request, ExchangeOutcome.Refused, now);
            return true;
        }

        terminator.CopyTo(message.AsSpan(length));
        length += terminator.Length;
        flight = new Flight(plan, request, own, triesLeft < 0 ? plan.Retries : triesLeft, told, now);
        Interlocked.Increment(ref exchanges);
        if (!line.Send(message.AsSpan(0, length)))
        {
            Report(flight, ExchangeOutcome.LineLost, now);
            return false;
        }

        wireFreeAt = Math.Max(now, wireFreeAt) + (length * characterNanos / 1000);
        if (plan.Exchange.Reply is null)
        {
            Report(flight, ExchangeOutcome.Sent, now);
            return true;
        }

        reader.Clear();
        phase = Phase.Awaiting;
        deadline = wireFreeAt + plan.Exchange.TimeoutMicros;
        return true;
    }

    /// <summary>Answers the requests that cannot be sent as things stand, so that their owner need not wait.</summary>
    private void AnswerHopeless(long now)
    {
        while (inbox.TryTakeRefused(out Request request))
            Answer(request, ExchangeOutcome.Refused, now);
        if (State is not (LinkState.Closed or LinkState.WrongInstrument or LinkState.Lost))
            return;
        ExchangeOutcome outcome = State == LinkState.WrongInstrument ? ExchangeOutcome.Refused : ExchangeOutcome.LineLost;
        while (inbox.TryTakeNormal(out Request request))
            Answer(request, outcome, now);

        // A verified instrument that fell silent may still hear: its vents are sent as soon as the line is free.
        while (!verified && inbox.TryTakeUrgent(out Request request))
            Answer(request, outcome, now);
    }

    private void Answer(Request request, ExchangeOutcome outcome, long now) => outbox.Add(new ExchangeReport
    {
        Capability = request.Capability,
        Ticket = request.Ticket,
        Outcome = outcome,
        AnsweredMicros = now,
    });

    private bool LeaseLapsed(long now) =>
        inbox.LeaseUntilMicros is > 0 and long until && now >= until && Release is not null;

    private long NextCall()
    {
        if (phase == Phase.Closed)
            return long.MaxValue;
        long next = long.MaxValue;
        if (phase != Phase.Idle)
            next = Math.Min(deadline, LostAt());
        else if (MustIdentify)
            next = identifyAt;
        else if (verified)
            next = polls.Next(out _);
        bool leased = verified && phase != Phase.Awaiting && inbox.LeaseUntilMicros > 0 && Release is not null;
        return leased ? Math.Min(next, Math.Max(inbox.LeaseUntilMicros, ventAt)) : next;
    }
}
