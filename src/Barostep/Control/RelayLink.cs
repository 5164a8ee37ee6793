using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>The guard half's hold on the dump valve: what its relay says, and how long it is kept shut.</summary>
/// <remarks>
/// Nothing but a cycle that decides so sends a keep-alive. The line's own lease opens the valve when cycles stop, and the
/// relay opens it by itself when the whole process does.
/// </remarks>
internal sealed class RelayLink
{
    /// <summary>A fifth of the half second after which a relay opens by itself (D.5).</summary>
    private const long KeepAliveEveryMicros = 100_000;

    private const long ContactEveryMicros = 200_000;

    /// <summary>A contact that was asked for longer ago than this proves nothing.</summary>
    private const long ContactStaleMicros = 1_000_000;

    private readonly InstrumentDriver _driver;
    private bool _isHeld;
    private bool _isShut;
    private bool _isContactKnown;
    private long _contactAskedMicros;
    private long _keptAliveMicros;
    private long _openedMicros = long.MinValue / 2;
    private long _keepAlives;
    private long _ticket;

    /// <summary>Takes the relay's line over and asks for its contact from now on, where it can tell it.</summary>
    public RelayLink(InstrumentDriver driver)
    {
        _driver = driver;
        if (TellsContact)
            driver.Poll(Capability.ReadContact, ContactEveryMicros);
    }

    /// <summary>Keep-alives sent so far: the value of the newest.</summary>
    public long KeepAlives => _keepAlives;

    private bool TellsContact => _driver.Fitted.Definition.Can(Capability.ReadContact);

    /// <summary>Takes everything that the relay has said, and tells what is known of the valve.</summary>
    public RelayReport Collect(long nowMicros)
    {
        while (_driver.TryTake(out ExchangeReport report))
        {
            if (report.Capability != Capability.ReadContact || report.Outcome != ExchangeOutcome.Answered)
                continue;
            _isContactKnown = true;
            _isShut = report.Value == 1;
            _contactAskedMicros = report.AskedMicros;
        }

        bool isFresh = _isContactKnown && nowMicros - _contactAskedMicros <= ContactStaleMicros;
        return new RelayReport
        {
            Fitted = true,
            // A valve that is to be shut and cannot be seen counts as open: nothing is filled against an open dump.
            FeedbackKnown = TellsContact && (isFresh || _isHeld),
            DumpShut = isFresh && _isShut,
        };
    }

    /// <summary>Keeps the valve shut for another while, or opens it.</summary>
    /// <param name="decision">What was decided.</param>
    /// <param name="nowMicros">Now.</param>
    /// <param name="leaseMicros">Longest time from this decision until its keep-alive may still leave: one that waited longer speaks for nobody.</param>
    public void Act(in Decision decision, long nowMicros, long leaseMicros)
    {
        _driver.VentIfNotRenewed(nowMicros + leaseMicros);
        if (decision.KeepAlive)
            Hold(nowMicros);
        else
            Open(nowMicros);
        _isHeld = decision.KeepAlive;
    }

    // The valve is armed only when the kernel begins to want it shut, which it does from a bench that is verified safe.
    // A relay that opened by itself meanwhile stays open: a late keep-alive must not make it hold pressure again.
    private void Hold(long nowMicros)
    {
        if (!_isHeld)
            Tell(Capability.Arm, 0, CommandUrgency.Normal);
        else if (nowMicros - _keptAliveMicros < KeepAliveEveryMicros)
            return;
        _keptAliveMicros = nowMicros;
        Tell(Capability.KeepAlive, ++_keepAlives, CommandUrgency.Normal);
    }

    private void Open(long nowMicros)
    {
        bool again = _isContactKnown && _isShut && nowMicros - _openedMicros >= ContactEveryMicros;
        if (!_isHeld && !again && _openedMicros > 0)
            return;
        _openedMicros = nowMicros;
        Tell(Capability.Open, 0, CommandUrgency.Urgent);
    }

    private void Tell(Capability capability, decimal value, CommandUrgency urgency) =>
        _driver.Command(capability, value, urgency, ++_ticket);
}
