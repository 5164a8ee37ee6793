using System.Globalization;
using Barostep.Configuration;
using Barostep.Configuration.Files;
using Barostep.Safety;

namespace Barostep.Instruments.Probing;

/// <summary>
/// Tries everything that a definition says of an instrument, except what could make pressure. Pure, as the driver is: it
/// says nothing by itself and has no clock, so that a recorded exchange is judged exactly as the live one was.
/// </summary>
public sealed class InstrumentProbe
{
    /// <summary>An instrument that has not said who it is by then is not there: three of the driver's own attempts.</summary>
    private const long LongestIdentificationMicros = 10_000_000;

    private readonly InstrumentDriver _driver;
    private readonly List<Capability> _steps;
    private readonly int _repeats;
    private readonly List<ProbeFinding> _findings = [];
    private readonly List<long> _took = [];
    private long? _beganMicros;
    private int _step;
    private int _try;
    private long _ticket;
    private bool _isAsked;

    /// <param name="fitted">The instrument and its port.</param>
    /// <param name="repeats">How often each question is asked, at least once; a command is sent once.</param>
    public InstrumentProbe(FittedInstrument fitted, int repeats)
    {
        ArgumentNullException.ThrowIfNull(fitted);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(repeats);
        _driver = new InstrumentDriver(fitted);
        _repeats = repeats;
        _steps = StepsOf(fitted.Definition);
        foreach (Capability left in fitted.Definition.Exchanges.Keys.Except(_steps).Order())
            _findings.Add(new ProbeFinding(left, ProbeResult.LeftOut, "not sent: it can start, change or keep up a pressure", string.Empty, []));
    }

    /// <summary>Whether everything has been tried, or the instrument did not let itself be asked.</summary>
    public bool Done { get; private set; }

    /// <summary>What is being tried now, and for which time, counted from 0.</summary>
    public (Capability Capability, int Try) Now => (_steps[Math.Min(_step, _steps.Count - 1)], _try);

    /// <summary>What was found, in the order in which it was tried; what was left out first.</summary>
    public IReadOnlyList<ProbeFinding> Findings => _findings;

    /// <summary>Why the instrument could not be asked at all; empty where it could.</summary>
    public string Problem { get; private set; } = string.Empty;

    public InstrumentDriver Driver => _driver;

    /// <summary>Whether a capability may be tried: it asks only, or lets pressure go, or sets the unit of what makes none.</summary>
    public static bool MaySend(InstrumentDefinition definition, Capability capability)
    {
        ArgumentNullException.ThrowIfNull(definition);
        bool makesPressure = definition.Role is InstrumentRole.Controller or InstrumentRole.Relay or InstrumentRole.Valves;
        return capability.IsQuery() || capability is Capability.Vent or Capability.Open
            || (capability == Capability.WriteUnit && !makesPressure);
    }

    /// <summary>Does what is due; as <see cref="InstrumentDriver.Advance(long, IByteLine)"/>.</summary>
    public long Advance(long nowMicros, IByteLine line)
    {
        _beganMicros ??= nowMicros;
        long next = _driver.Advance(nowMicros, line);
        while (!Done && _driver.TryTake(out ExchangeReport report))
            Take(report);
        if (Done)
            return nowMicros;
        if (!_driver.IsVerified)
            return Math.Min(next, AwaitIdentity(nowMicros));
        if (_isAsked)
            return next;
        Ask();
        return nowMicros;
    }

    /// <summary>What lets go first, then questions, then the unit; a question about the unit once more after it.</summary>
    private static List<Capability> StepsOf(InstrumentDefinition definition)
    {
        Capability[] may = [.. definition.Exchanges.Keys.Where(capability => MaySend(definition, capability)).Order()];
        return
        [
            .. may.Where(capability => capability == Capability.Identify),
            .. may.Where(capability => capability is Capability.Vent or Capability.Open),
            .. may.Where(capability => capability == Capability.WriteUnit),
            .. may.Where(capability => capability.IsQuery() && capability != Capability.Identify),
        ];
    }

    private long AwaitIdentity(long nowMicros)
    {
        long until = _beganMicros!.Value + LongestIdentificationMicros;
        bool wrong = _driver.State == LinkState.WrongInstrument;
        if (!wrong && nowMicros < until)
            return until;
        Problem = _driver.IdentityProblem.Length > 0 ? _driver.IdentityProblem
            : $"{_driver.Fitted.Port}: the instrument does not say who it is; compare port, speed, parity and address, and the request of [exchange.identify], with its manual";
        Done = true;
        return nowMicros;
    }

    private void Ask()
    {
        Capability capability = _steps[_step];
        _isAsked = true;
        if (_driver.Fitted.Definition.Exchanges[capability].Unasked)
            _driver.Poll(capability, 1);
        else
            _driver.Command(capability, 0, CommandUrgency.Normal, ++_ticket);
    }

    private void Take(in ExchangeReport report)
    {
        if (!_isAsked || report.Capability != _steps[_step])
            return;
        bool unasked = _driver.Fitted.Definition.Exchanges[report.Capability].Unasked;
        if (!unasked && report.Ticket != _ticket)
            return;
        bool worked = report.Outcome is ExchangeOutcome.Answered or ExchangeOutcome.Sent or ExchangeOutcome.OverRange;
        _isAsked = unasked;
        if (worked)
            _took.Add(report.AnsweredMicros - report.AskedMicros);
        _try++;
        if (worked && report.Capability.IsQuery() && _try < _repeats)
            return;
        _findings.Add(new ProbeFinding(
            report.Capability, worked ? ProbeResult.Worked : ProbeResult.Failed, worked ? Meaning(report) : Fault(report), report.Reply.ToString(), [.. _took]));
        Leave(unasked, report.Capability);
    }

    private void Leave(bool unasked, Capability capability)
    {
        if (unasked)
            _driver.Poll(capability, 0);
        _isAsked = false;
        _took.Clear();
        _try = 0;
        _step++;
        Done = _step == _steps.Count;
    }

    private string Meaning(in ExchangeReport report)
    {
        string number = report.Value.ToString(CultureInfo.InvariantCulture);
        return report switch
        {
            { Outcome: ExchangeOutcome.Sent } => "sent; no reply is expected",
            { Outcome: ExchangeOutcome.OverRange } => "over range",
            { Capability: Capability.Identify } => _driver.IdentityText,
            { Capability: Capability.ReadUnit, Unit: { } unit } => $"{unit.Symbol} {Reference(report)}",
            { Capability: Capability.ReadMode } => report.Mode.ToString().ToLowerInvariant(),
            { Capability: Capability.ReadContact } => report.Value == 1 ? "shut" : "open",
            { Capability: Capability.ReadCurrent } => $"{number} A",
            { Capability: Capability.ReadVoltage } => $"{number} V",
            { Capability: Capability.ReadResistance } => $"{number} ohm",
            { Unit: { } unit } => $"{number} {unit.Symbol} {Reference(report)}",
            _ when report.Capability.IsQuery() => number,
            _ => "confirmed",
        };
    }

    private static string Reference(in ExchangeReport report) => report.Reference == PressureReference.Gauge ? "gauge" : "absolute";

    private string Fault(in ExchangeReport report)
    {
        ExchangeDefinition exchange = _driver.Fitted.Definition.Exchanges[report.Capability];
        string named = $"[exchange.{CapabilityNames.NameOf(report.Capability)}]";
        return report.Outcome switch
        {
            ExchangeOutcome.TimedOut => $"no answer within {exchange.TimeoutMicros / 1000} ms; compare the request of {named} with the manual, or give it a longer timeout",
            ExchangeOutcome.Garbled => $"'{report.Reply}' is not of the form '{exchange.Reply?.Text}'; correct the reply of {named}",
            ExchangeOutcome.WrongUnit => $"'{report.Reply}' names another unit than {named} says, or one that [unit_words] does not know",
            ExchangeOutcome.LineLost => "the line was lost",
            ExchangeOutcome.Refused => "it was not sent",
            ExchangeOutcome.Answered or ExchangeOutcome.Sent or ExchangeOutcome.OverRange or _ => throw new ArgumentOutOfRangeException(nameof(report)),
        };
    }
}
