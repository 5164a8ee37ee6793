namespace Barostep.Instruments;

public sealed partial class InstrumentDriver
{
    /// <summary>What the instrument tells without being asked; null where it only answers.</summary>
    private readonly ExchangePlan? _stream;

    private volatile bool _streamWanted;
    private bool _inStep;
    private long _messageEndedAt;
    private long _streamDeadline;

    /// <summary>
    /// Cuts what an instrument tells of its own accord into messages. The first one after the opening, or after garbage,
    /// is dropped: its beginning may be missing, and the rest of a number is a number too.
    /// </summary>
    private void TakeUnasked(ReadOnlySpan<byte> bytes, long now)
    {
        var messages = (TerminatedMessages)_messages;

        // Nobody knows when each of several messages that came at once was made: only that it was after the ones before.
        long madeAfter = _messageEndedAt;
        foreach (byte value in bytes)
        {
            ReplyProgress progress = messages.TakeOne(value);
            if (progress == ReplyProgress.Partial)
                continue;
            if (progress == ReplyProgress.Complete && _inStep)
                TakeMessage(now, madeAfter);
            _inStep = progress == ReplyProgress.Complete;
            if (_inStep)
                _messageEndedAt = now;
            else
                Interlocked.Increment(ref _garbage);
            messages.Clear();
        }
    }

    private void TakeMessage(long now, long madeAfter)
    {
        ReplyValues values = default;
        if (_phase == Phase.Awaiting && _flight.Plan.Match(_messages.Content, ref values) != ReplyMatch.Mismatched)
        {
            Complete(now);
            return;
        }

        ReplyMatch match = _stream!.Match(_messages.Content, ref values);
        if (match == ReplyMatch.Mismatched)
        {
            Interlocked.Increment(ref _garbage);
            return;
        }

        _streamDeadline = now + _stream.Exchange.TimeoutMicros;
        if (Identify is null)
            State = LinkState.Ready;
        if (!_verified || !_streamWanted)
            return;
        ExchangeReport report = Draft(Heard(madeAfter), ExchangeOutcome.Answered, now);
        _outbox.Add(_stream.Read(WithReply(report), match, values, _messages.Content));
    }

    /// <summary>Notes a stream that has stopped, as often as its time-out says.</summary>
    private void ExpireStream(long now)
    {
        if (_stream is null || !_verified || !_streamWanted || now < _streamDeadline)
            return;
        _streamDeadline = now + _stream.Exchange.TimeoutMicros;
        Interlocked.Increment(ref _timeOuts);
        _outOfStep = true;
        if (Identify is null)
            State = LinkState.Lost;
        _outbox.Add(Draft(Heard(now), ExchangeOutcome.TimedOut, now));
    }

    private void BeginStream(long now)
    {
        if (_stream is null)
            return;
        ((TerminatedMessages)_messages).Clear();
        _inStep = false;
        _messageEndedAt = now;
        _streamDeadline = now + _stream.Exchange.TimeoutMicros;
    }

    private Flight Heard(long madeAfter) =>
        new(_stream!, new Request(_stream!.Capability, 0, ExchangeReport.NoTicket), false, 0, 0, madeAfter);
}
