using System.Collections.Immutable;
using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>One bench: its lines, its guard half, and the run that asks it for pressure.</summary>
/// <remarks>Both halves are called from one place in turn and exchange only values.</remarks>
public sealed class Bench
{
    private readonly GuardHalf _guard;
    private uint _epoch;
    private RunSession? _session;

    /// <summary>Puts a bench together; nothing is sent before the first cycle.</summary>
    /// <param name="definition">What is fitted.</param>
    /// <param name="limits">What the kernel compares with.</param>
    /// <param name="start">The state to begin from.</param>
    /// <param name="journal">Where every cycle is kept.</param>
    public Bench(BenchDefinition definition, SafetyLimits limits, SafetyState start, SafetyJournal journal)
    {
        Definition = definition;
        Source = new InstrumentDriver(definition.Source);
        Reference = new InstrumentDriver(definition.Reference);
        Multimeter = definition.Multimeter is { } meter ? new InstrumentDriver(meter) : null;
        DeviceLine = definition.DeviceLine is { } device ? new InstrumentDriver(device) : null;
        Lines = ImmutableList.CreateRange(new[] { Source, Reference, Multimeter, DeviceLine }.OfType<InstrumentDriver>());
        _guard = new GuardHalf(limits, start, Source, Reference, definition.PeriodMicros, journal);
    }

    public BenchDefinition Definition { get; }

    public InstrumentDriver Source { get; }

    public InstrumentDriver Reference { get; }

    public InstrumentDriver? Multimeter { get; }

    public InstrumentDriver? DeviceLine { get; }

    /// <summary>Every line of the bench, once.</summary>
    public IReadOnlyList<InstrumentDriver> Lines { get; }

    /// <summary>What the guard half told last.</summary>
    public BenchSnapshot Snapshot { get; private set; }

    public SafetyLimits Limits => _guard.Limits;

    /// <summary>The run that is going on; null while there is none.</summary>
    public RunSession? Session => _session;

    /// <summary>Begins a run; the one before must have ended.</summary>
    public RunSession Begin(RunPlan plan, long nowMicros)
    {
        if (_session is { Ended: false })
            throw new InvalidOperationException("a run is going on");
        InstrumentDriver device = plan.Device.Output == DeviceOutput.Digital ? DeviceLine! : Multimeter!;
        _session = new RunSession(plan, device, ++_epoch, nowMicros);
        return _session;
    }

    /// <summary>One cycle of both halves.</summary>
    /// <param name="clock">Now.</param>
    /// <param name="person">What a person asks of the guard, shown once.</param>
    /// <param name="confirmed">A person confirmed what the run asked them.</param>
    /// <returns>What happened in the run, oldest first.</returns>
    public ImmutableList<RunEvent> Cycle(in CycleClock clock, in PersonRequest person, bool confirmed)
    {
        Snapshot = _guard.Cycle(clock, _session?.Intent ?? default, person);
        bool stop = person.Kind is PersonRequestKind.Stop or PersonRequestKind.Dump;
        return _session?.Cycle(Snapshot, stop, confirmed) ?? [];
    }
}
