using Barostep.Control.Valves;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>What the edge tells the guard half of the time and the machine under it.</summary>
/// <param name="NowMicros">Monotonic, µs.</param>
/// <param name="WallMillis">Wall clock, ms since 1970 UTC: a label.</param>
/// <param name="SuspendedMicros">How long the machine was suspended since the cycle before.</param>
/// <param name="DiskLow">Less free space than the journal needs.</param>
public readonly record struct CycleClock(long NowMicros, long WallMillis, long SuspendedMicros = 0, bool DiskLow = false);

/// <summary>
/// The half that owns every line that can raise, vent or tell the bench's pressure: collect, decide, act, journal.
/// </summary>
public sealed class GuardHalf : IGuard
{
    private SafetyLimits _limits;
    private readonly ISourceLink _source;
    private readonly PressureLink _reference;
    private readonly InstrumentDriver? _sourceDriver;
    private readonly InstrumentDriver _referenceDriver;
    private readonly RelayLink? _relay;
    private readonly SafetyJournal _journal;
    private readonly long _periodMicros;
    private readonly DumpTest _dumpTest = new();
    private uint _epoch;
    private SafetyState _state;
    private long _tick;
    private long _firstMicros;

    /// <summary>Takes the lines over; nothing is sent before the first cycle.</summary>
    /// <param name="limits">What the kernel compares with.</param>
    /// <param name="start">The state to begin from: <see cref="SafetyState.Initial"/>, or with what was latched before.</param>
    /// <param name="source">The pressure source's line; null where a person makes the pressure.</param>
    /// <param name="reference">The reference standard's line.</param>
    /// <param name="periodMicros">Period of the cycle, and of the reference's polling.</param>
    /// <param name="journal">Where every cycle is kept.</param>
    /// <param name="relay">The dump valve's line; null where the bench has none.</param>
    public GuardHalf(
        SafetyLimits limits,
        SafetyState start,
        InstrumentDriver? source,
        InstrumentDriver reference,
        long periodMicros,
        SafetyJournal journal,
        InstrumentDriver? relay = null)
    {
        _limits = limits;
        _state = start;
        _sourceDriver = source;
        _referenceDriver = reference;
        _source = source?.Fitted.Definition.Role switch
        {
            null => new PersonLink(),
            InstrumentRole.Valves => new ValveLink(source, limits),
            _ => new SourceLink(source, limits.Atmosphere),
        };
        _source.LimitTo(limits.SourceUpperLimit);
        _reference = new PressureLink(reference, limits.Atmosphere);
        _journal = journal;
        _relay = relay is null ? null : new RelayLink(relay);
        _periodMicros = periodMicros;
        reference.Poll(Capability.ReadPressure, periodMicros);
        _source.BeginPolling();
    }

    /// <summary>What the kernel compares with.</summary>
    public SafetyLimits Limits => _limits;

    /// <summary>What the kernel remembers.</summary>
    public SafetyState State => _state;

    /// <summary>The alarms as people see them.</summary>
    public AlarmPanel Alarms { get; } = new();

    /// <summary>Keep-alives sent to the dump valve's relay.</summary>
    public long KeepAlives => _relay?.KeepAlives ?? 0;

    public IReadOnlyDictionary<string, string> Identities =>
        new[] { _sourceDriver, _referenceDriver }.OfType<InstrumentDriver>().ToDictionary(driver => driver.Fitted.Port, driver => driver.IdentityText);

    public uint BeginRun(JournalStamp stamp, RunStartPayload run)
    {
        _journal.Write(stamp, run);
        _journal.RequestFlush();
        _dumpTest.Begin(_state, _limits, stamp.NowMicros);
        return ++_epoch;
    }

    public string EndRun(JournalStamp stamp, RunEndPayload run)
    {
        _dumpTest.Cancel();
        _journal.Write(stamp, run);
        _journal.RequestFlush();
        return _journal.Head.Hash;
    }

    /// <summary>Compares with other limits from the next cycle on. Whether they may be changed is for the caller to judge.</summary>
    public void ChangeLimits(JournalStamp stamp, LimitsPayload change)
    {
        ArgumentNullException.ThrowIfNull(change);
        _journal.Write(stamp, change);
        _journal.RequestFlush();
        _limits = change.Limits;
        _source.LimitTo(change.Limits.SourceUpperLimit);
    }

    /// <summary>One cycle.</summary>
    /// <param name="clock">Now.</param>
    /// <param name="intent">What the sequencer half asks for.</param>
    /// <param name="person">What a person asks for, shown once.</param>
    public BenchSnapshot Cycle(in CycleClock clock, in Intent intent, in PersonRequest person)
    {
        if (_tick == 0)
            _firstMicros = clock.NowMicros;
        Observation seen = Collect(clock, person);
        seen = seen with { Intent = _dumpTest.Steer(intent, _state, _limits, seen.Reference, clock.NowMicros) };
        Decision decided = SafetyKernel.Decide(_state, seen, _limits, out SafetyState next);
        _state = next;
        _dumpTest.Judge(next);
        Alarms.Follow(decided, clock.NowMicros);
        // First of all, what opens the dump valve is said. Arming makes no pressure: the source is told to wait for it.
        _relay?.Act(decided, clock.NowMicros, _limits.LeaseMicros + _periodMicros);
        _source.Consider(decided, seen.Reference, clock.NowMicros);
        if (_source.WouldRaise(decided))
        {
            // Up in writing: what can raise pressure is on the disk before it is on the wire.
            bool written = _journal.IsRaiseOnDisk(seen, decided);
            _journal.Tick(seen, decided);
            if (written)
                _source.Act(decided, clock.NowMicros, _limits.LeaseMicros);
            else
                _source.Renew(decided, clock.NowMicros, _limits.LeaseMicros);
        }
        else
        {
            // Down at once: a vent waits for no disk.
            _source.Act(decided, clock.NowMicros, _limits.LeaseMicros);
            _journal.Tick(seen, decided);
            if (decided.Action != SafetyAction.Control)
                _journal.EndRaise();
        }

        return Tell(clock, decided);
    }

    private Observation Collect(in CycleClock clock, in PersonRequest person)
    {
        while (_referenceDriver.TryTake(out ExchangeReport report))
        {
            if (report.Capability == Capability.ReadPressure)
                _reference.Take(report);
        }

        // After the reports: what was answered before the line went must not hide that it did.
        _reference.WatchLine(clock.NowMicros);

        _source.Collect(clock.NowMicros);
        SourceReport source = _source.Report;
        return new Observation
        {
            Tick = ++_tick,
            NowMicros = clock.NowMicros,
            WallMillis = clock.WallMillis,
            Reference = _reference.Reading,
            SourceSensor = _source.Sensor,
            Relay = _relay?.Collect(clock.NowMicros) ?? default,
            Source = source with { IdentityChanged = source.IdentityChanged || _reference.IsWrongInstrument },
            Host = new HostReport
            {
                JournalFailed = _journal.HasFailed,
                DiskLow = clock.DiskLow,
                SuspendedMicros = clock.SuspendedMicros,
                UncleanStart = _journal.WasLeftOpen && _tick == 1,
            },
            Person = person,
        };
    }

    private BenchSnapshot Tell(in CycleClock clock, in Decision decided) => new()
    {
        Tick = decided.Tick,
        NowMicros = clock.NowMicros,
        Phase = decided.Phase,
        Verdict = decided.Verdict,
        Causes = decided.Causes,
        FirstCause = decided.FirstCause,
        TripNumber = decided.TripNumber,
        Depressurised = decided.Safe,
        SamplesVoid = decided.SamplesVoid,
        EffectiveCeiling = decided.EffectiveCeiling,
        DumpTest = _dumpTest.State,
        Alarms = Alarms.Summary,
        Reference = _reference.Reading,
        ReferenceRaw = _reference.Raw,
        SourceSensor = _source.Sensor,
        LineFault = FaultsOf(clock.NowMicros),
    };

    private string? FaultsOf(long nowMicros)
    {
        // What trips as stale must be named as well.
        long referenceAge = Math.Min(LineFault.OldestMicros, _limits.ReferenceStaleAfterMicros);
        long sourceAge = Math.Min(LineFault.OldestMicros, _limits.SourceStaleAfterMicros);
        string? reference = LineFault.Of("reference", _referenceDriver, _reference.Reading, _firstMicros, nowMicros, referenceAge);
        string? source = _sourceDriver is null ? null : LineFault.Of("pressure source", _sourceDriver, _source.Sensor, _firstMicros, nowMicros, sourceAge);
        return reference is not null && source is not null ? $"{reference}; {source}" : reference ?? source;
    }
}
