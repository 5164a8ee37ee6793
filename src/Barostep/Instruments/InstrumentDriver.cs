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

    private readonly ExchangePlan?[] _plans = new ExchangePlan?[Capabilities.Count];
    private readonly RequestInbox _inbox = new();
    private readonly ReportOutbox _outbox = new();
    private readonly PollSchedule _polls = new();
    private readonly MessageFraming _messages;
    private readonly byte[] _content = new byte[RequestTemplate.Longest];
    private readonly long _characterNanos;
    private readonly long _gapMicros;

    private Phase _phase = Phase.Closed;
    private Flight _flight;
    private Flight? _again;
    private ExchangeOutcome _againOutcome;
    private volatile bool _verified;
    private bool _outOfStep;
    private bool _lastFailed;
    private int _identifyFailures;
    private long _identifyAt;
    private long _ventAt;
    private long _deadline;
    private long? _drainingSince;
    private long _wireFreeAt;
    private long _quietFrom;

    public InstrumentDriver(FittedInstrument fitted)
    {
        ArgumentNullException.ThrowIfNull(fitted);
        Fitted = fitted;
        foreach (ExchangeDefinition exchange in fitted.Definition.Exchanges.Values)
            _plans[(int)exchange.Capability] = new ExchangePlan(fitted.Definition, exchange);
        _stream = Array.Find(_plans, plan => plan is { Exchange.Unasked: true });
        LineSettings line = fitted.Definition.Line;
        _messages = MessageFraming.Of(fitted.Definition, fitted.Baud ?? line.Baud);
        _gapMicros = Math.Max(line.TurnRoundMicros, _messages.GapMicros);
        int bits = 1 + line.DataBits + (line.Parity == LineParity.None ? 0 : 1) + line.StopBits;
        _characterNanos = bits * 1_000_000_000L / (fitted.Baud ?? line.Baud);
    }

    private enum Phase
    {
        Closed,
        Idle,
        Awaiting,
        Draining,
    }

    private ExchangePlan? Identify => _plans[(int)Capability.Identify];

    /// <summary>What lets the pressure go: a source vents, a relay opens the dump valve.</summary>
    private ExchangePlan? Release => _plans[(int)Capability.Vent] ?? _plans[(int)Capability.Open];

    private bool MustIdentify => Identify is not null && (!_verified || _outOfStep || State == LinkState.Lost);

    /// <summary>Does what is due. Call on bytes, on requests, when the line opens or closes, and at the returned time.</summary>
    /// <param name="nowMicros">Monotonic time.</param>
    /// <param name="line">The port; another one after each opening is allowed.</param>
    /// <returns>When it wants to be called at the latest; <see cref="long.MaxValue"/> for never.</returns>
    public long Advance(long nowMicros, IByteLine line) => Advance(nowMicros, line, mayStart: true);

    /// <summary>Whether an exchange is open, or the line is being drained after one.</summary>
    internal bool IsBusy => _phase is Phase.Awaiting or Phase.Draining;

    /// <summary>When bytes last came, as far as this instrument's messages have to keep a distance from them.</summary>
    internal long QuietFrom
    {
        get => _quietFrom;
        set => _quietFrom = value;
    }

    /// <param name="nowMicros">Monotonic time.</param>
    /// <param name="line">The port.</param>
    /// <param name="mayStart">Whether a message may be sent now: not while another instrument of the line has the word.</param>
    internal long Advance(long nowMicros, IByteLine line, bool mayStart)
    {
        ArgumentNullException.ThrowIfNull(line);
        if (line.IsOpen && _phase == Phase.Closed)
            Open(nowMicros);
        _polls.Update(_inbox, nowMicros);
        if (line.IsOpen)
            Receive(nowMicros, line);
        if (line.IsOpen)
        {
            Expire(nowMicros);
            while (mayStart && StartNext(nowMicros, line))
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
        _phase = Phase.Idle;
        _verified = Identify is null;
        _drainingSince = null;
        _outOfStep = false;
        _lastFailed = false;
        _identifyFailures = 0;
        _identifyAt = now;
        _ventAt = now;
        _wireFreeAt = now;
        _quietFrom = now;
        BeginStream(now);
        Interlocked.Increment(ref _openings);
        State = _verified ? LinkState.Ready : LinkState.Identifying;
    }

    private void Close(long now)
    {
        if (_phase == Phase.Awaiting)
            Report(_flight, ExchangeOutcome.LineLost, now);
        GiveUpAgain(ExchangeOutcome.LineLost, now);
        _phase = Phase.Closed;
        _verified = false;
        State = LinkState.Closed;
    }

    private void Receive(long now, IByteLine line)
    {
        Span<byte> chunk = stackalloc byte[512];
        for (int length = line.Receive(chunk); length > 0; length = line.Receive(chunk))
        {
            _quietFrom = now;
            if (_stream is not null)
                TakeUnasked(chunk[..length], now);
            else if (_phase == Phase.Awaiting)
                TakeReply(chunk[..length], now);
            else
                TakeStray(now);
        }
    }

    private void TakeStray(long now)
    {
        if (_phase == Phase.Idle)
        {
            Interlocked.Increment(ref _garbage);
            _outOfStep = true;
            Drain(now);
        }

        _deadline = now + _messages.SilenceMicros;
    }

    private void TakeReply(ReadOnlySpan<byte> bytes, long now)
    {
        switch (_messages.Take(bytes, _flight.Plan.Exchange))
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
        ReplyMatch match = _flight.Plan.Match(_messages.Content, ref values);
        if (match == ReplyMatch.Mismatched)
        {
            Fail(ExchangeOutcome.Garbled, now);
            return;
        }

        _phase = Phase.Idle;
        _drainingSince = null;
        _lastFailed = false;
        if (_flight.Plan.Capability == Capability.Identify)
            TakeIdentity(values, now);
        else if (Identify is null)
            State = LinkState.Ready;
        ExchangeOutcome outcome = _flight.Plan.Exchange is { Reply: null, Registers: null } ? ExchangeOutcome.Sent : ExchangeOutcome.Answered;
        _outbox.Add(_flight.Plan.Read(WithReply(Draft(_flight, outcome, now)), match, values, _messages.Content));
    }

    private void TakeIdentity(in ReplyValues values, long now)
    {
        string text = _messages.Text();
        if (text != IdentityText)
            IdentityText = text;
        IdentityProblem = IdentityCheck.Problem(Fitted, _flight.Plan.Exchange.Reply!, values, _messages.Content);
        _verified = IdentityProblem.Length == 0;
        State = _verified ? LinkState.Ready : LinkState.WrongInstrument;
        _outOfStep = false;
        _identifyFailures = 0;
        if (_stream is not null)
            _streamDeadline = Math.Max(_streamDeadline, now + _stream.Exchange.TimeoutMicros);
        _identifyAt = _verified ? now : now + AskAgainMicros;
        if (!_verified)
            GiveUpAgain(_againOutcome, now);
    }

    private void Expire(long now)
    {
        if (_phase == Phase.Awaiting && now >= _deadline)
            Fail(ExchangeOutcome.TimedOut, now);
        if (_phase == Phase.Draining && now >= _deadline)
        {
            _phase = Phase.Idle;
            _drainingSince = null;
        }

        ExpireStream(now);
        if (now >= LostAt())
        {
            State = LinkState.Lost;
            GiveUpAgain(_againOutcome, now);
        }
    }

    /// <summary>A vent that is sent into the noise does not make the line quiet: the time runs on from the first stray byte.</summary>
    private void Drain(long now)
    {
        _phase = Phase.Draining;
        _drainingSince ??= now;
    }

    /// <summary>When a line that is still being drained counts as lost; <see cref="long.MaxValue"/> for never.</summary>
    private long LostAt() => _drainingSince is { } since && State is (LinkState.Identifying or LinkState.Ready)
        ? since + LostWhileDrainingMicros
        : long.MaxValue;

    private void Fail(ExchangeOutcome outcome, long now)
    {
        Interlocked.Increment(ref outcome == ExchangeOutcome.TimedOut ? ref _timeOuts : ref _garbage);
        _outOfStep |= outcome == ExchangeOutcome.TimedOut || _lastFailed;
        _lastFailed = true;
        if (_stream is null)
            Drain(now);
        else
            _phase = Phase.Idle;

        // Without an identify to get back into step, only a pause as long as the time-out lets a late reply pass by.
        bool waitLonger = Identify is null && outcome == ExchangeOutcome.TimedOut;
        _deadline = now + Math.Max(_messages.SilenceMicros, waitLonger ? _flight.Plan.Exchange.TimeoutMicros : 0);
        if (_flight.Own)
            FailIdentify(outcome, now);
        else if (_flight.TriesLeft > 0)
            (_again, _againOutcome) = (_flight with { TriesLeft = _flight.TriesLeft - 1 }, outcome);
        else
            GiveUp(outcome, now);
    }

    private void FailIdentify(ExchangeOutcome outcome, long now)
    {
        if (outcome == ExchangeOutcome.Garbled && !_verified)
            IdentityProblem = $"{Fitted.Port}: the identify reply '{_messages.Text()}' is not of the form '{_flight.Plan.Exchange.Reply!.Text}'";
        _identifyFailures++;
        if (_identifyFailures <= Math.Max(_flight.Plan.Retries, FewestIdentifyRetries))
            return;
        _identifyAt = now + AskAgainMicros;
        State = LinkState.Lost;
        Report(_flight, outcome, now);
        GiveUpAgain(_againOutcome, now);
    }

    private void GiveUp(ExchangeOutcome outcome, long now)
    {
        if (Identify is null)
            State = LinkState.Lost;
        Report(_flight, outcome, now);
    }

    private void GiveUpAgain(ExchangeOutcome outcome, long now)
    {
        if (_again is not { } waiting)
            return;
        _again = null;
        _outbox.Add(Draft(waiting, outcome, now));
    }

    private void Report(in Flight ended, ExchangeOutcome outcome, long now) =>
        _outbox.Add(outcome == ExchangeOutcome.Garbled ? WithReply(Draft(ended, outcome, now)) : Draft(ended, outcome, now));

    private ExchangeReport WithReply(in ExchangeReport report) =>
        report with { Reply = new ReplyText(_messages.Raw), ReplyHash = ExchangePlan.Hash(_messages.Content) };

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
