namespace Barostep.Instruments;

public sealed partial class InstrumentDriver
{
    /// <summary>Sends what is due first; false where nothing is, or a reply is awaited.</summary>
    private bool StartNext(long now, IByteLine line)
    {
        if (_phase is Phase.Awaiting or Phase.Closed || !line.IsOpen || now < _quietFrom + _gapMicros)
            return false;
        if (_verified && StartUrgent(now, line))
            return true;
        if (_phase != Phase.Idle)
            return false;
        if (MustIdentify)
            return now >= _identifyAt && Start(Identify!, new Request(Capability.Identify, 0, ExchangeReport.NoTicket), true, now, line);
        return _verified && (StartCommand(now, line) || StartAgain(now, line) || StartPoll(now, line));
    }

    private bool StartUrgent(long now, IByteLine line)
    {
        bool lapsed = LeaseLapsed(now);
        if (!lapsed)
            _ventAt = now;
        if (lapsed && now >= _ventAt)
        {
            _ventAt = now + VentAgainMicros;
            _inbox.Overtake();
            return Start(Release!, new Request(Release!.Capability, 0, ExchangeReport.LeaseTicket), false, now, line);
        }

        return _inbox.TryTakeUrgent(out Request request) && StartRequest(request, now, line);
    }

    private bool StartCommand(long now, IByteLine line) => _inbox.TryTakeNormal(out Request request) && StartRequest(request, now, line);

    private bool StartRequest(Request request, long now, IByteLine line)
    {
        bool lapsed = LeaseLapsed(now) && request.Capability.CanRaisePressure();
        if (_plans[(int)request.Capability] is { Exchange.Unasked: false } plan && !lapsed)
            return Start(plan, request, false, now, line);
        Answer(request, ExchangeOutcome.Refused, now);
        return true;
    }

    private bool StartAgain(long now, IByteLine line)
    {
        if (_again is not { } waiting)
            return false;
        _again = null;
        return Start(waiting.Plan, waiting.Request, false, now, line, waiting.TriesLeft);
    }

    private bool StartPoll(long now, IByteLine line)
    {
        if (_polls.Next(out Capability capability) > now)
            return false;
        _polls.Asked(capability, now);
        return Start(_plans[(int)capability]!, new Request(capability, 0, ExchangeReport.NoTicket), false, now, line);
    }

    private bool Start(ExchangePlan plan, Request request, bool own, long now, IByteLine line, int triesLeft = -1)
    {
        bool written = plan.Exchange.Request.TryWrite(request.Value, _content, out int length, out decimal told);
        ReadOnlySpan<byte> message = written ? _messages.Frame(plan.Exchange, _content.AsSpan(0, length)) : [];
        if (message.IsEmpty)
        {
            Answer(request, ExchangeOutcome.Refused, now);
            return true;
        }

        _flight = new Flight(plan, request, own, triesLeft < 0 ? plan.Retries : triesLeft, told, now);
        Interlocked.Increment(ref _exchanges);
        if (!line.Send(message))
        {
            Report(_flight, ExchangeOutcome.LineLost, now);
            return false;
        }

        _wireFreeAt = Math.Max(now, _wireFreeAt) + (message.Length * _characterNanos / 1000);
        if (!_messages.Answers(plan.Exchange))
        {
            Report(_flight, ExchangeOutcome.Sent, now);
            return true;
        }

        _phase = Phase.Awaiting;
        _deadline = _wireFreeAt + plan.Exchange.TimeoutMicros;
        return true;
    }

    /// <summary>Answers the requests that cannot be sent as things stand, so that their owner need not wait.</summary>
    private void AnswerHopeless(long now)
    {
        while (_inbox.TryTakeRefused(out Request request))
            Answer(request, ExchangeOutcome.Refused, now);
        if (State is not (LinkState.Closed or LinkState.WrongInstrument or LinkState.Lost))
            return;
        ExchangeOutcome outcome = State == LinkState.WrongInstrument ? ExchangeOutcome.Refused : ExchangeOutcome.LineLost;
        while (_inbox.TryTakeNormal(out Request request))
            Answer(request, outcome, now);

        // A verified instrument that fell silent may still hear: its vents are sent as soon as the line is free.
        while (!_verified && _inbox.TryTakeUrgent(out Request request))
            Answer(request, outcome, now);
    }

    private void Answer(Request request, ExchangeOutcome outcome, long now) => _outbox.Add(new ExchangeReport
    {
        Capability = request.Capability,
        Ticket = request.Ticket,
        Outcome = outcome,
        AnsweredMicros = now,
    });

    private bool LeaseLapsed(long now) =>
        _inbox.LeaseUntilMicros is > 0 and long until && now >= until && Release is not null;

    private long NextCall()
    {
        if (_phase == Phase.Closed)
            return long.MaxValue;
        long next = long.MaxValue;
        if (_phase != Phase.Idle)
            next = Math.Min(_deadline, LostAt());
        else if (MustIdentify)
            next = Math.Max(_identifyAt, _quietFrom + _gapMicros);
        else if (_verified)
            next = NextToSend();
        if (_stream is not null && _verified && _streamWanted)
            next = Math.Min(next, _streamDeadline);
        bool leased = _verified && _phase != Phase.Awaiting && _inbox.LeaseUntilMicros > 0 && Release is not null;
        return leased ? Math.Min(next, Math.Max(Math.Max(_inbox.LeaseUntilMicros, _ventAt), _quietFrom + _gapMicros)) : next;
    }

    /// <summary>When the next message can go; a line that must still be silent for a while is looked at after it.</summary>
    private long NextToSend()
    {
        long next = _again is null && !_inbox.AnyWaiting ? _polls.Next(out _) : 0;
        return _gapMicros == 0 ? _polls.Next(out _) : next == long.MaxValue ? next : Math.Max(next, _quietFrom + _gapMicros);
    }
}
