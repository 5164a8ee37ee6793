using Barostep.Simulators.Faults;
using Barostep.Simulators.Instruments;
using Barostep.Simulators.Pneumatics;
using Barostep.Simulators.Wire;

namespace Barostep.Simulators;

/// <summary>
/// The bench in memory on virtual time: plant, device under test, instruments and lines. One thread; bit for bit
/// repeatable from the description, the seed, and what is written and injected when.
/// </summary>
/// <remarks>
/// The plant and every sensor move on a grid of 1 ms. At one time the order is: faults, plant and sensors, then the
/// ports in the order of the bench file. How far <see cref="AdvanceTo"/> is asked to go at once changes nothing.
/// </remarks>
public sealed class SimulatedBench
{
    // Beyond the streams of instruments and ports.
    private const ulong SwitchStream = 99;

    private readonly BenchClock _clock = new();
    private readonly Plant _plant;
    private readonly Transmitter? _transmitter;
    private readonly SwitchElement? _switch;
    private readonly Instrument[] _instruments;
    private readonly SimulatedPort[] _ports;
    private readonly FaultInjector _injector;
    private readonly PriorityQueue<Action, (long AtMicros, int Number)> _scheduled = new();
    private int _scheduledCount;
    private long _nextStepMicros = Plant.StepMicros;
    private long _sampleIntervalMicros;
    private Action<TrueState>? _sample;

    /// <exception cref="BenchFileException">The bench cannot be built from the description.</exception>
    public SimulatedBench(BenchDescription description, ulong seed)
    {
        _plant = new Plant(description.Plant, description.Dump?.Valve);
        _transmitter = description.Transmitter is null ? null : new Transmitter(description.Transmitter, 0);
        _switch = description.Switch is null ? null : new SwitchElement(description.Switch, new Pcg32(seed, SwitchStream));
        _instruments = [.. description.Instruments.Select((d, i) => Make(d, new Pcg32(seed, (ulong)(100 + (2 * i)))))];
        if (description.Dump is { } dump)
        {
            _instruments = [.. _instruments, new DumpRelay(dump, _plant.Dump!)];
        }

        List<SimulatedPort> ports = [];
        for (int i = 0; i < _instruments.Length; i++)
        {
            Instrument instrument = _instruments[i];
            if (ports.Find(p => p.Name == instrument.Description.Port) is { } shared)
            {
                shared.Join(instrument);
            }
            else
            {
                ports.Add(new SimulatedPort(instrument.Description.Port, instrument, _clock, new Pcg32(seed, (ulong)(101 + (2 * i)))));
            }
        }

        _ports = [.. ports];
        _injector = new FaultInjector(_clock, _plant, _ports);
    }

    public IReadOnlyList<SimulatedPort> Ports => _ports;

    public long NowMicros => _clock.NowMicros;

    /// <summary>
    /// A bound from below on the time of the next delivery to any host port, not after the present time when bytes wait
    /// unread; <see cref="long.MaxValue"/> when nothing is under way. A host that advances to this time, reads, and asks
    /// again misses nothing and waits for nothing.
    /// </summary>
    public long NextEventMicros
    {
        get
        {
            long next = _scheduled.TryPeek(out _, out (long AtMicros, int) fault) ? fault.AtMicros : long.MaxValue;
            foreach (SimulatedPort port in _ports)
            {
                next = Math.Min(next, port.NextDeliveryMicros);
            }

            return next;
        }
    }

    public TrueState Truth => new(
        NowMicros,
        _plant.PressurePa,
        _plant.Volume.TemperatureK,
        _plant.Volume.WallTemperatureK,
        _plant.Volume.MassKg,
        _plant.Fill.Opening,
        _plant.Vent.Opening,
        _plant.Vacuum?.Opening ?? 0,
        _plant.Dump?.Opening ?? 0,
        _plant.AtmospherePa,
        _plant.SupplyPa,
        _transmitter?.TrueCurrentA ?? 0);

    /// <summary>A bench from a file, or by name from the shipped <c>benches</c> folder.</summary>
    /// <exception cref="BenchFileException">The file is missing or wrong; the message names file, line and rule.</exception>
    public static SimulatedBench Load(string pathOrName, ulong seed) => new(BenchFile.Load(pathOrName), seed);

    /// <exception cref="ArgumentException">There is no port of that name.</exception>
    public SimulatedPort Port(string name) =>
        _ports.FirstOrDefault(p => p.Name == name) ?? throw new ArgumentException($"there is no port '{name}'", nameof(name));

    /// <summary>Runs everything up to and including the given time, in order.</summary>
    public void AdvanceTo(long micros)
    {
        while (true)
        {
            long next = NextEncounterMicros();
            // Until a line or a fault has something to do, nothing but the plant and what senses it changes.
            long quietUntil = Math.Min(next, micros + 1);
            while (_nextStepMicros < quietUntil)
            {
                _clock.NowMicros = Math.Max(_clock.NowMicros, _nextStepMicros);
                Step();
            }

            if (next > micros)
            {
                _clock.NowMicros = Math.Max(_clock.NowMicros, micros);
                return;
            }

            _clock.NowMicros = Math.Max(_clock.NowMicros, next);
            RunDue();
        }
    }

    private long NextEncounterMicros()
    {
        long next = _scheduled.TryPeek(out _, out (long AtMicros, int) fault) ? fault.AtMicros : long.MaxValue;
        foreach (SimulatedPort port in _ports)
        {
            next = Math.Min(next, port.NextInternalMicros);
        }

        return next;
    }

    /// <summary>Applies one fault line now, or at its time; the grammar is in docs/simulation.md.</summary>
    /// <exception cref="FaultLineException">The line is not understood; the message says what to write.</exception>
    public void Inject(string faultLine)
    {
        switch (_injector.Read(faultLine))
        {
            case null:
                return;
            case { AtMicros: { } at, Strike: var strike } when at > NowMicros:
                _scheduled.Enqueue(strike, (at, _scheduledCount++));
                return;
            case { Strike: var strike }:
                Strike(strike);
                return;
        }
    }

    /// <summary>Calls back with the true state at each multiple of the interval, a whole number of milliseconds.</summary>
    public void SampleTruth(long intervalMicros, Action<TrueState> sample)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(intervalMicros % Plant.StepMicros, 0);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(intervalMicros);
        _sampleIntervalMicros = intervalMicros;
        _sample = sample;
    }

    private Instrument Make(InstrumentDescription description, Pcg32 random) => description.Kind switch
    {
        InstrumentKind.Controller => new PressureController(description, _plant, random),
        InstrumentKind.Multimeter => new BenchMultimeter(description, random),
        InstrumentKind.Person => new BenchPerson(description, _plant),
        InstrumentKind.Valves => new ValveBlock(description, _plant, random),
        InstrumentKind.Reference or InstrumentKind.Gauge or InstrumentKind.Barometer => new PressureIndicator(description, _plant.AtmospherePa, random),
        _ => throw new ArgumentOutOfRangeException(nameof(description), description.Kind, "not a bench file's instrument"),
    };

    private void RunDue()
    {
        while (_scheduled.TryPeek(out Action? strike, out (long AtMicros, int) fault) && fault.AtMicros <= NowMicros)
        {
            _scheduled.Dequeue();
            Strike(strike);
        }

        if (_nextStepMicros <= NowMicros)
        {
            Step();
        }

        foreach (SimulatedPort port in _ports)
        {
            port.RunDue();
        }
    }

    // What was on its way before the fault arrived as it was sent.
    private void Strike(Action strike)
    {
        foreach (SimulatedPort port in _ports)
        {
            port.DeliverBefore(NowMicros);
        }

        strike();
    }

    private void Step()
    {
        _plant.Step(_nextStepMicros - Plant.StepMicros);
        double gaugePa = _plant.GaugePa;
        _transmitter?.Follow(gaugePa);
        _switch?.Follow(gaugePa);
        Surroundings surroundings = new(_nextStepMicros, gaugePa, _plant.AtmospherePa, _transmitter?.TrueCurrentA ?? 0, _transmitter?.NoiseA ?? 0)
        {
            ContactOhm = _switch?.Ohms ?? double.PositiveInfinity,
        };
        foreach (Instrument instrument in _instruments)
        {
            instrument.Follow(surroundings);
        }

        if (_sample is not null && _nextStepMicros % _sampleIntervalMicros == 0)
        {
            _sample(Truth);
        }

        _nextStepMicros += Plant.StepMicros;
    }
}
