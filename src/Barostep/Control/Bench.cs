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
    private readonly ImmutableArray<(string Name, InstrumentDriver Driver)> _inputs;
    private readonly InstrumentDriver? _barometer;
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
        _inputs = DriversOf(definition);
        _barometer = definition.BarometerLine is { } barometer ? new InstrumentDriver(barometer) : null;
        Lines = ImmutableList.CreateRange(
            new[] { source, reference, relay }.Concat(_inputs.Select(input => input.Driver)).Append(_barometer).OfType<InstrumentDriver>());
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
        _inputs = DriversOf(definition);
        _barometer = definition.BarometerLine is { } barometer ? new InstrumentDriver(barometer) : null;
        Lines = ImmutableList.CreateRange(_inputs.Select(input => input.Driver).Append(_barometer).OfType<InstrumentDriver>());
        _guard = guard;
    }

    public BenchDefinition Definition { get; }

    public InstrumentDriver? Multimeter => _inputs.FirstOrDefault(input => input.Name == "multimeter").Driver;

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
            // The channels of one multimeter share its port and its identity.
            foreach ((_, InstrumentDriver line) in _inputs.Where(input => input.Driver.IdentityText.Length > 0 || !told.ContainsKey(input.Driver.Fitted.Port)))
                told[line.Fitted.Port] = line.IdentityText;
            if (_barometer is not null)
                told[_barometer.Fitted.Port] = _barometer.IdentityText;
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
        ArgumentNullException.ThrowIfNull(plan);
        InstrumentDriver?[] lines = [.. plan.Beside.Prepend(plan).Select(one => LineOf(one.Device))];
        _session = new RunSession(plan, lines, _guard.BeginRun(stamp, run), stamp.NowMicros, Definition.Arrangement.Shunt, _barometer, Definition.Arrangement.ReferenceTells);
        return _session;
    }

    /// <summary>Ends what <see cref="Begin"/> began.</summary>
    /// <returns>The hash of the journal's newest entry.</returns>
    public string End(RunEndPayload run, JournalStamp stamp) => _guard.EndRun(stamp, run);

    private static ImmutableArray<(string Name, InstrumentDriver Driver)> DriversOf(BenchDefinition definition) =>
        [.. definition.Inputs.Select(input => (input.Name, new InstrumentDriver(input.Fitted)))];

    /// <summary>The line that reads a device; null where a person does.</summary>
    private InstrumentDriver? LineOf(DeviceDefinition device)
    {
        if (device.Dial is not null)
            return null;
        string? input = Definition.InputOf(device)?.Name;
        return _inputs.FirstOrDefault(one => one.Name == input).Driver
            ?? throw new InvalidOperationException($"no input of bench {Definition.Name} reads device {device.Name}");
    }

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
