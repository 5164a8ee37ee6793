using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control.Valves;

/// <summary>The guard half's hold on a pump's fill and bleed valves; the loop over them is ours.</summary>
/// <remarks>
/// Beside <see cref="SourceLink"/> the only place from which a command that can raise pressure leaves. Each pulse takes a
/// decision of the kernel that permits control; the valve block ends it by itself.
/// </remarks>
internal sealed class ValveLink(InstrumentDriver driver, SafetyLimits limits) : ISourceLink
{
    /// <summary>A vent is said again until the valves are said to be open.</summary>
    private const long VentAgainMicros = 400_000;

    /// <summary>Shares of the way from the atmosphere to the ceiling: near a set point, and one pulse.</summary>
    private const double NearShare = 0.0002;

    private const double LargestStepShare = 0.02;

    private readonly PressureLink _sensor = new(driver, limits.Atmosphere);
    private readonly ValveLoopSettings _settings = SettingsFor(limits);
    private ValveLoopState _state;
    private ValveLoopState _next;
    private ValveCommand _planned;
    private SourceReport _report;
    private decimal? _restarts;
    private long _ticket;
    private long _pendingTicket;
    private long _ventToldMicros = long.MinValue / 2;

    /// <summary>Pulses so far.</summary>
    public long Pulses => _state.Pulses;

    public SensorReading Sensor => driver.Fitted.Definition.Can(Capability.ReadPressure) ? _sensor.Reading : SensorReading.NotFitted;

    public SourceReport Report => _report with
    {
        LineUp = driver.State == LinkState.Ready,
        IdentityChanged = driver.State == LinkState.WrongInstrument,
    };

    public void LimitTo(Pressure? upperLimit)
    {
        // A pump has no limit of its own to be told.
    }

    public void BeginPolling()
    {
        if (driver.Fitted.Definition.Can(Capability.ReadPressure))
            driver.Poll(Capability.ReadPressure, 200_000);
        if (driver.Fitted.Definition.Can(Capability.ReadRestart))
            driver.Poll(Capability.ReadRestart, 1_000_000);
    }

    public void Collect(long nowMicros)
    {
        while (driver.TryTake(out ExchangeReport report))
            Take(report);
        _sensor.WatchLine(nowMicros);
    }

    public void Consider(in Decision decision, in SensorReading reference, long nowMicros) =>
        _planned = ValveLoop.Step(_settings, _state, decision, reference, limits.Atmosphere, nowMicros, out _next);

    public bool WouldRaise(in Decision decision) => _planned.Order == ValveOrder.Fill;

    public void Renew(in Decision decision, long nowMicros, long leaseMicros) =>
        driver.VentIfNotRenewed(decision.LeaseUntilMicros > 0 ? decision.LeaseUntilMicros : nowMicros + leaseMicros);

    public void Act(in Decision decision, long nowMicros, long leaseMicros)
    {
        Renew(decision, nowMicros, leaseMicros);
        if (!driver.IsVerified)
        {
            // Nobody is known to be there to be told; the first cycle that finds the valves says it at once.
            _state = _state with { Standing = ValveOrder.None, Awaited = ValveOrder.None };
            _report = _report with { Mode = SourceMode.Unknown };
            return;
        }

        _state = _next;
        bool unheard = _state.Standing == ValveOrder.Vent && _report.Mode != SourceMode.Venting && nowMicros - _ventToldMicros >= VentAgainMicros;
        ValveCommand command = _planned.Order == ValveOrder.None && unheard ? new ValveCommand(ValveOrder.Vent, 0) : _planned;
        if (command.Order != ValveOrder.None)
            Tell(command, decision, nowMicros);
        if (decision.Action == SafetyAction.Rest)
            _report = _report with { RestartSeen = false };
    }

    private static ValveLoopSettings SettingsFor(SafetyLimits limits)
    {
        double span = (limits.EffectiveCeiling - limits.Atmosphere).Pascals;
        PressureDifference near = PressureDifference.FromPascals(span * NearShare);
        return new ValveLoopSettings(near, near, PressureDifference.FromPascals(span * LargestStepShare));
    }

    private void Tell(ValveCommand command, in Decision decision, long nowMicros)
    {
        (Capability capability, CommandUrgency urgency) = command.Order switch
        {
            ValveOrder.Fill => (Capability.Fill, CommandUrgency.Normal),
            ValveOrder.Bleed => (Capability.Bleed, CommandUrgency.Normal),
            ValveOrder.Shut => (Capability.Hold, CommandUrgency.Urgent),
            ValveOrder.Vent => (Capability.Vent, CommandUrgency.Urgent),
            _ => throw new ArgumentOutOfRangeException(nameof(command)),
        };
        driver.Command(capability, command.PulseMicros / 1000m, urgency, ++_ticket);
        if (command.Order == ValveOrder.Vent)
            _ventToldMicros = nowMicros;
        // A vent that is said again is still the first one's business: its time runs from there.
        bool same = _report.Pending == decision.Action && _pendingTicket != 0;
        _pendingTicket = _ticket;
        _report = _report with
        {
            Mode = SourceMode.Unknown,
            Pending = decision.Action,
            PendingSinceMicros = same ? _report.PendingSinceMicros : nowMicros,
        };
    }

    private void Take(in ExchangeReport report)
    {
        if (report.Capability == Capability.ReadPressure)
        {
            _sensor.Take(report);
            return;
        }

        if (report.Capability == Capability.ReadRestart && report.Outcome == ExchangeOutcome.Answered)
        {
            bool restarted = _restarts is { } before && report.Value != before;
            _restarts = report.Value;
            _report = _report with { RestartSeen = _report.RestartSeen || restarted };
        }

        bool done = report.Outcome is ExchangeOutcome.Answered or ExchangeOutcome.Sent;
        if (!done && report.Capability is Capability.Fill or Capability.Bleed)
        {
            // Whether that pulse was heard nobody knows, so nothing is learned from it.
            _state = _state with { Awaited = ValveOrder.None };
        }

        if (report.Ticket != _pendingTicket || _pendingTicket == 0 || !done)
            return;
        _pendingTicket = 0;
        _report = _report with { Pending = SafetyAction.Rest, Mode = ModeAfter(report.Capability), ModeAskedAtMicros = report.AskedMicros };
    }

    private static SourceMode ModeAfter(Capability done) => done switch
    {
        Capability.Vent => SourceMode.Venting,
        Capability.Hold => SourceMode.Measuring,
        _ => SourceMode.Unknown,
    };
}
