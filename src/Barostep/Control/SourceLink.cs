using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>The guard half's hold on a controller: what it says, and what it is told.</summary>
/// <remarks>Beside <see cref="Valves.ValveLink"/> the only place from which a command that can raise pressure leaves, and it takes the kernel's decision.</remarks>
internal sealed class SourceLink(InstrumentDriver driver, Pressure atmosphere) : ISourceLink
{
    /// <summary>A vent is said again until the source says that it vents.</summary>
    private const long VentAgainMicros = 400_000;

    /// <summary>The last of the pressure may go at once: what half a second at the allowed rate would take.</summary>
    private const double SecondsOfFreeVent = 0.5;

    private readonly PressureLink _sensor = new(driver, atmosphere);
    private long _ticket;
    private long _pendingTicket;
    private long _limitTicket;
    private long _unitTicket;
    private bool _isSetUp;
    private decimal? _restarts;
    private bool _isComingDown;
    private SafetyAction _told = SafetyAction.Rest;
    private Pressure _toldSetPoint;
    private long _toldRate;
    private long _ventToldMicros = long.MinValue / 2;
    private SourceReport _report;
    private Pressure? _upperLimit;

    public SensorReading Sensor => driver.Fitted.Definition.Can(Capability.ReadPressure) ? _sensor.Reading : SensorReading.NotFitted;

    public SourceReport Report => _report with
    {
        LineUp = driver.State == LinkState.Ready,
        // Coming down at a rate is regulating, and the kernel judges a vent by the pressure.
        Mode = _isComingDown ? SourceMode.Unknown : _report.Mode,
        UnitChanged = _report.UnitChanged || _sensor.Reading.Quality == ReadingQuality.WrongUnit,
        IdentityChanged = _sensor.IsWrongInstrument,
    };

    /// <summary>Tells the source its own upper limit, at the next rest; until it is read back the permit is out.</summary>
    public void LimitTo(Pressure? upperLimit)
    {
        if (upperLimit != _upperLimit)
            _isSetUp = false;
        _upperLimit = upperLimit;
        _report = _report with { UpperLimitKnown = _report.UpperLimitKnown && _isSetUp };
    }

    /// <summary>Starts the questions that are asked all the time.</summary>
    public void BeginPolling()
    {
        Ask(Capability.ReadPressure, 200_000);
        Ask(Capability.ReadMode, 500_000);
        Ask(Capability.ReadSetPoint, 1_000_000);
        Ask(Capability.ReadRestart, 1_000_000);
        Ask(Capability.ReadUnit, 5_000_000);
        Ask(Capability.ReadUpperLimit, 30_000_000);

        void Ask(Capability capability, long periodMicros)
        {
            if (driver.Fitted.Definition.Can(capability))
                driver.Poll(capability, periodMicros);
        }
    }

    /// <summary>Takes everything that the line has reported since the last cycle.</summary>
    public void Collect(long nowMicros)
    {
        if (driver.State != LinkState.Ready)
            _isSetUp = false;
        while (driver.TryTake(out ExchangeReport report))
            Take(report);
        // After the reports: what was answered before the line went must not hide that it did.
        _sensor.WatchLine(nowMicros);
    }

    public void Consider(in Decision decision, in SensorReading reference, long nowMicros)
    {
        // A controller closes its own loop: the decision alone says what it is told.
    }

    /// <summary>Whether acting on a decision would send what can raise pressure.</summary>
    public bool WouldRaise(in Decision decision) => decision.Action == SafetyAction.Control
        && (_told != SafetyAction.Control || _toldSetPoint != decision.SetPoint || _toldRate != decision.RateMilliPascalsPerSecond);

    /// <summary>Tells the line that its owner lives; a line that is not told vents by itself.</summary>
    public void Renew(in Decision decision, long nowMicros, long leaseMicros) =>
        driver.VentIfNotRenewed(decision.LeaseUntilMicros > 0 ? decision.LeaseUntilMicros : nowMicros + leaseMicros);

    /// <summary>Does what was decided, and says nothing twice without need.</summary>
    public void Act(in Decision decision, long nowMicros, long leaseMicros)
    {
        Renew(decision, nowMicros, leaseMicros);
        switch (decision.Action)
        {
            case SafetyAction.Control:
                if (WouldRaise(decision))
                    Control(decision, nowMicros);
                break;
            case SafetyAction.Isolate:
                if (_told != SafetyAction.Isolate)
                    Tell(Capability.Hold, SafetyAction.Isolate, nowMicros);
                break;
            case SafetyAction.Rest:
            case SafetyAction.Vent:
            case SafetyAction.Dump:
                Vent(decision, nowMicros);
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(decision));
        }

        bool quiet = decision.Action == SafetyAction.Rest
            || (decision.Action == SafetyAction.Dump && _report.Mode == SourceMode.Venting);
        if (quiet && !_isSetUp)
            SetUp();
    }

    /// <summary>Unit and own upper limit: told while the bench rests, and again after whatever may have undone them.</summary>
    private void SetUp()
    {
        if (driver.State != LinkState.Ready)
            return;
        _isSetUp = true;
        _restarts = null;
        _limitTicket = 0;
        _unitTicket = 0;
        InstrumentDefinition definition = driver.Fitted.Definition;
        if (definition.Can(Capability.WriteUnit))
            driver.Command(Capability.WriteUnit, 0, CommandUrgency.Normal, _unitTicket = ++_ticket);
        if (definition.Can(Capability.WriteUpperLimit) && _upperLimit is { } limit)
        {
            _limitTicket = ++_ticket;
            driver.Command(Capability.WriteUpperLimit, Told(Capability.WriteUpperLimit, limit), CommandUrgency.Normal, _limitTicket);
        }

        if (definition.Can(Capability.ReadUpperLimit))
            driver.Command(Capability.ReadUpperLimit, 0, CommandUrgency.Normal, ++_ticket);
        if (definition.Can(Capability.ReadUnit))
            driver.Command(Capability.ReadUnit, 0, CommandUrgency.Normal, ++_ticket);
        _report = _report with { RestartSeen = false, UnitChanged = false, UpperLimitKnown = false };
    }

    private void Control(in Decision decision, long nowMicros)
    {
        InstrumentDefinition definition = driver.Fitted.Definition;
        if (definition.Can(Capability.WriteRate))
            driver.Command(Capability.WriteRate, ToldRate(decision.RateMilliPascalsPerSecond), CommandUrgency.Normal, ++_ticket);
        driver.Command(Capability.WriteSetPoint, Told(Capability.WriteSetPoint, decision.SetPoint), CommandUrgency.Normal, ++_ticket);
        _isComingDown = false;
        _toldSetPoint = decision.SetPoint;
        _toldRate = decision.RateMilliPascalsPerSecond;
        Tell(Capability.Control, SafetyAction.Control, nowMicros);
    }

    private void Vent(in Decision decision, long nowMicros)
    {
        if (decision.Action == SafetyAction.Vent && MustComeDownSlowly(decision))
        {
            if (!_isComingDown)
                ComeDown(decision, nowMicros);
            return;
        }

        bool first = _isComingDown || _told is SafetyAction.Control or SafetyAction.Isolate;
        bool harder = decision.Action == SafetyAction.Dump && _told != SafetyAction.Dump;
        bool unheard = driver.Fitted.Definition.Can(Capability.ReadMode)
            ? _report.Mode != SourceMode.Venting
            : decision.Action != SafetyAction.Rest;
        _told = decision.Action;
        _isComingDown = false;
        if (!driver.IsVerified)
        {
            // Nobody is known to be there to be told; the first cycle that finds the source says it at once.
            _ventToldMicros = nowMicros - VentAgainMicros;
            _report = _report with { Mode = SourceMode.Unknown };
            return;
        }

        if (!first && !harder && !(unheard && nowMicros - _ventToldMicros >= VentAgainMicros))
            return;
        _ventToldMicros = nowMicros;
        Tell(Capability.Vent, decision.Action, nowMicros);
    }

    /// <summary>Whether a vent that is allowed to take its time still has to: a source's own vent knows no rate.</summary>
    private bool MustComeDownSlowly(in Decision decision)
    {
        InstrumentDefinition definition = driver.Fitted.Definition;
        bool regulates = _isComingDown || _told is SafetyAction.Control or SafetyAction.Isolate;
        bool can = definition.Can(Capability.WriteRate) && definition.Can(Capability.WriteSetPoint) && Sensor.IsGood;
        double near = decision.RateMilliPascalsPerSecond / 1000.0 * SecondsOfFreeVent;
        return regulates && can && (Sensor.Value - atmosphere).Magnitude().Pascals > near;
    }

    private void ComeDown(in Decision decision, long nowMicros)
    {
        _isComingDown = true;
        driver.Command(Capability.WriteRate, ToldRate(decision.RateMilliPascalsPerSecond), CommandUrgency.Normal, ++_ticket);
        driver.Command(Capability.WriteSetPoint, Told(Capability.WriteSetPoint, atmosphere), CommandUrgency.Normal, ++_ticket);
        Tell(Capability.Control, SafetyAction.Vent, nowMicros);
    }

    private void Tell(Capability capability, SafetyAction action, long nowMicros)
    {
        CommandUrgency urgency = capability == Capability.Control ? CommandUrgency.Normal : CommandUrgency.Urgent;
        driver.Command(capability, 0, urgency, ++_ticket);
        // A vent that is said again is still the first one's business: its time runs from there.
        bool same = _report.Pending == action && _pendingTicket != 0;
        _pendingTicket = _ticket;
        _told = action;
        _report = _report with
        {
            Mode = SourceMode.Unknown,
            Pending = action,
            PendingSinceMicros = same ? _report.PendingSinceMicros : nowMicros,
        };
    }

    private void Take(in ExchangeReport report)
    {
        if (report.Ticket == _pendingTicket && _pendingTicket != 0
            && report.Outcome is ExchangeOutcome.Answered or ExchangeOutcome.Sent)
        {
            _pendingTicket = 0;
            _report = _report with { Pending = SafetyAction.Rest };
        }

        if (report.Ticket == _limitTicket && _limitTicket != 0)
        {
            _limitTicket = 0;
            // Nobody knows which limit the source has now: it is set up again.
            _isSetUp &= report.Outcome is ExchangeOutcome.Answered or ExchangeOutcome.Sent;
        }

        if (report.Ticket == _unitTicket && _unitTicket != 0)
        {
            _unitTicket = 0;
            _isSetUp &= report.Outcome is ExchangeOutcome.Answered or ExchangeOutcome.Sent;
        }

        // What was asked before the unit was written tells the old one.
        if (report.Outcome == ExchangeOutcome.WrongUnit && _isSetUp && _unitTicket == 0)
            _report = _report with { UnitChanged = true };
        if (report.Capability == Capability.ReadPressure)
            _sensor.Take(report);
        else if (report.Outcome == ExchangeOutcome.Answered)
            TakeAnswer(report);
    }

    private void TakeAnswer(in ExchangeReport report)
    {
        switch (report.Capability)
        {
            case Capability.ReadMode:
                if (report.AskedMicros >= _report.ModeAskedAtMicros && _pendingTicket == 0)
                    _report = _report with { Mode = report.Mode, ModeAskedAtMicros = report.AskedMicros };
                break;
            case Capability.ReadSetPoint when report.TryGetPressure(atmosphere, out Pressure setPoint):
                _report = _report with { SetPoint = setPoint, SetPointKnown = true, SetPointAskedAtMicros = report.AskedMicros };
                break;
            case Capability.ReadUpperLimit when report.TryGetPressure(atmosphere, out Pressure limit):
                // An answer from before the limit was written tells the old one.
                if (_isSetUp && _limitTicket == 0)
                    _report = _report with { UpperLimit = limit, UpperLimitKnown = true };
                break;
            case Capability.ReadRestart:
                TakeRestarts(report.Value);
                break;
            default:
                break;
        }
    }

    private void TakeRestarts(decimal count)
    {
        if (_restarts is null)
            _restarts = count;
        else if (count != _restarts)
            MarkRestarted();
    }

    private void MarkRestarted()
    {
        _report = _report with { RestartSeen = true, UpperLimitKnown = false };
        _isSetUp = false;
    }

    private decimal Told(Capability capability, Pressure pressure)
    {
        ExchangeDefinition exchange = driver.Fitted.Definition.Exchanges[capability];
        Pressure origin = exchange.Reference == PressureReference.Gauge ? atmosphere : Pressure.Vacuum;
        return (pressure - origin).MilliPascals / 1000m / (exchange.Unit ?? PressureUnit.Pascal).Pascals;
    }

    private decimal ToldRate(long milliPascalsPerSecond) =>
        milliPascalsPerSecond / 1000m / (driver.Fitted.Definition.Exchanges[Capability.WriteRate].Unit ?? PressureUnit.Pascal).Pascals;
}
