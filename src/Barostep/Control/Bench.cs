using System.Collections.Immutable;
using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>One bench: its lines, its guard half, and the run that asks it for pressure.</summary>
/// <remarks>Both halves are called from one place in turn and exchange only values.</remarks>
public sealed class Bench
{
    private readonly IGuard _guard;
    private RunSession? _session;

    /// <summary>Puts a bench together with both halves in this process; nothing is sent before the first cycle.</summary>
    /// <param name="definition">What is fitted.</param>
    /// <param name="limits">What the kernel compares with.</param>
    /// <param name="start">The state to begin from.</param>
    /// <param name="journal">Where every cycle is kept.</param>
    public Bench(BenchDefinition definition, SafetyLimits limits, SafetyState start, SafetyJournal journal)
    {
        Definition = definition;
        Limits = limits;
        InstrumentDriver? source = definition.Source is { } made ? new InstrumentDriver(made) : null;
        var reference = new InstrumentDriver(definition.Reference);
        InstrumentDriver? relay = definition.DumpValve is { } valve ? new InstrumentDriver(valve) : null;
        Multimeter = definition.Multimeter is { } meter ? new InstrumentDriver(meter) : null;
        DeviceLine = definition.DeviceLine is { } device ? new InstrumentDriver(device) : null;
        Lines = ImmutableList.CreateRange(new[] { source, reference, relay, Multimeter, DeviceLine }.OfType<InstrumentDriver>());
        _guard = new GuardHalf(limits, start, source, reference, definition.PeriodMicros, journal, relay);
    }

    /// <summary>Puts the sequencer half of a bench together, whose guard half is somewhere else.</summary>
    /// <param name="definition">What is fitted.</param>
    /// <param name="limits">What the guard compares with.</param>
    /// <param name="guard">The way to it.</param>
    public Bench(BenchDefinition definition, SafetyLimits limits, IGuard guard)
    {
        Definition = definition;
        Limits = limits;
        Multimeter = definition.Multimeter is { } meter ? new InstrumentDriver(meter) : null;
        DeviceLine = definition.DeviceLine is { } device ? new InstrumentDriver(device) : null;
        Lines = ImmutableList.CreateRange(new[] { Multimeter, DeviceLine }.OfType<InstrumentDriver>());
        _guard = guard;
    }

    public BenchDefinition Definition { get; }

    public InstrumentDriver? Multimeter { get; }

    public InstrumentDriver? DeviceLine { get; }

    /// <summary>Every line of the bench that this process works, once.</summary>
    public IReadOnlyList<InstrumentDriver> Lines { get; }

    /// <summary>What the guard half told last.</summary>
    public BenchSnapshot Snapshot { get; private set; }

    public SafetyLimits Limits { get; }

    /// <summary>What every instrument said it is, by port.</summary>
    public IReadOnlyDictionary<string, string> Identities
    {
        get
        {
            var told = new Dictionary<string, string>(_guard.Identities);
            foreach (InstrumentDriver line in new[] { Multimeter, DeviceLine }.OfType<InstrumentDriver>())
                told[line.Fitted.Port] = line.IdentityText;
            return told;
        }
    }

    /// <summary>The run that is going on; null while there is none.</summary>
    public RunSession? Session => _session;

    /// <summary>Begins a run; the one before must have ended.</summary>
    /// <param name="plan">What is done.</param>
    /// <param name="run">What the journal is told of it.</param>
    /// <param name="stamp">Now.</param>
    public RunSession Begin(RunPlan plan, RunStartPayload run, JournalStamp stamp)
    {
        if (_session is { Ended: false })
            throw new InvalidOperationException("a run is going on");
        InstrumentDriver? device = plan.Device.Output switch
        {
            DeviceOutput.Dial => null,
            DeviceOutput.Digital => DeviceLine!,
            DeviceOutput.Current or DeviceOutput.Voltage => Multimeter!,
            _ => throw new ArgumentOutOfRangeException(nameof(plan)),
        };
        _session = new RunSession(plan, device, _guard.BeginRun(stamp, run), stamp.NowMicros, Definition.Arrangement.Shunt);
        return _session;
    }

    /// <summary>Ends what <see cref="Begin"/> began.</summary>
    /// <returns>The hash of the journal's newest entry.</returns>
    public string End(RunEndPayload run, JournalStamp stamp) => _guard.EndRun(stamp, run);

    /// <summary>One cycle of both halves.</summary>
    /// <param name="clock">Now.</param>
    /// <param name="person">What a person asks of the guard, shown once.</param>
    /// <param name="confirmed">Whatever the procedure wants confirmed is confirmed.</param>
    /// <param name="answer">What a person answered since the last cycle; null where nobody did.</param>
    /// <returns>What happened in the run, oldest first.</returns>
    public ImmutableList<RunEvent> Cycle(in CycleClock clock, in PersonRequest person, bool confirmed, PersonAnswer? answer = null)
    {
        Snapshot = _guard.Cycle(clock, _session?.Intent ?? default, person);
        bool stop = person.Kind is PersonRequestKind.Stop or PersonRequestKind.Dump;
        return _session?.Cycle(Snapshot, stop, confirmed, answer) ?? [];
    }
}
