namespace Barostep.Simulators.Pneumatics;

/// <summary>The gas side of the bench: volume, supply, room, vacuum source and every valve between them.</summary>
public sealed class Plant
{
    /// <summary>Step of the balances; shorter ones are taken inside it while a valve travels or a burst drains.</summary>
    public const long StepMicros = 1_000;

    private const int StepsWhileTravelling = 10;
    private const int MostSteps = 1_000;

    // A travel this short within one step is followed by its mean opening closely enough.
    private const double ShortTravel = 0.02;

    // Rate times step below which a step of second order is good to a few millionths of what changes.
    private const double GentleResolve = 0.05;

    // Steps before the fastest rate is looked at again: with shut valves it changes as slowly as the gas.
    private const int GentleSteps = 20;

    // Steps for which gas at rest is not looked at again.
    private const int RestSteps = 9;

    private readonly PlantDescription _description;
    private readonly FlowPath _fillPath;
    private readonly FlowPath _ventPath;
    private readonly FlowPath _vacuumPath;
    private readonly FlowPath _dumpPath;
    private readonly FlowPath _leakPath;
    private readonly FlowPath _reliefPath;
    private readonly GasVolume _volume;
    private int _restSteps;
    private int _gentleSteps;

    public Plant(PlantDescription description, ValveDescription? dump = null)
    {
        _description = description;
        Gas gas = Gas.Find(description.Gas)
            ?? throw new BenchFileException($"there is no gas '{description.Gas}': write one of {string.Join(", ", Gas.All.Select(g => g.Name))}");
        Fill = new Valve(description.Fill);
        Vent = new Valve(description.Vent);
        Vacuum = description.Vacuum is { } vacuum ? new Valve(vacuum) : null;
        Dump = dump is null ? null : new Valve(dump, initialOpening: 1);
        _fillPath = Path(Fill);
        _ventPath = Path(Vent);
        _vacuumPath = Path(Vacuum);
        _dumpPath = Path(Dump);
        _leakPath = Path(null);
        _reliefPath = Path(null);
        _volume = new GasVolume(
            gas, description.VolumeM3, description.AtmospherePa, description.AmbientTemperatureK,
            [_fillPath, _ventPath, _vacuumPath, _dumpPath, _leakPath, _reliefPath])
        {
            WallConductance = description.WallConductance,
            WallHeatCapacity = description.WallHeatCapacity,
            AmbientConductance = description.AmbientConductance,
            AmbientK = description.AmbientTemperatureK,
        };
        _vacuumPath.BeyondPa = description.VacuumPa;
        AtmospherePa = description.AtmospherePa;
        SupplyPa = description.SupplyPa;
        LeakConductance = description.LeakConductance;
        Gas = gas;
    }

    public Gas Gas { get; }

    public Valve Fill { get; }

    public Valve Vent { get; }

    /// <summary>Null on a bench without a vacuum source.</summary>
    public Valve? Vacuum { get; }

    /// <summary>Null on a bench without a dump valve.</summary>
    public Valve? Dump { get; }

    public GasVolume Volume => _volume;

    public double PressurePa => _volume.PressurePa;

    public double GaugePa => _volume.PressurePa - AtmospherePa;

    public bool ReliefOpen { get; private set; }

    /// <summary>Sonic conductance of the leak to the room, m3/(s Pa).</summary>
    public double LeakConductance
    {
        get => _leakPath.Conductance;
        set
        {
            _leakPath.Conductance = value;
            Disturb();
        }
    }

    public double SupplyPa
    {
        get => _fillPath.BeyondPa;
        set
        {
            _fillPath.BeyondPa = value;
            Disturb();
        }
    }

    public double AtmospherePa
    {
        get => _ventPath.BeyondPa;
        set
        {
            _ventPath.BeyondPa = value;
            _dumpPath.BeyondPa = value;
            _leakPath.BeyondPa = value;
            _reliefPath.BeyondPa = value;
            Disturb();
        }
    }

    /// <summary>Temperature of the room, K; the gas that comes in keeps its own.</summary>
    public double AmbientK
    {
        get => _volume.AmbientK;
        set
        {
            _volume.AmbientK = value;
            Disturb();
        }
    }

    /// <summary>Pressure rate with the fill valve fully open and choked, Pa/s, at room temperature and slow change.</summary>
    public double FullFillRate => _description.Fill.Conductance * _description.SupplyPa * RatePerConductance;

    /// <summary>Rate constant of venting fully open and choked, 1/s.</summary>
    public double FullVentRate => _description.Vent.Conductance * RatePerConductance;

    /// <summary>Rate constant of evacuating fully open and choked, 1/s; 0 without a vacuum source.</summary>
    public double FullVacuumRate => (_description.Vacuum?.Conductance ?? 0) * RatePerConductance;

    private double RatePerConductance => Iso6358.ReferenceDensity * Iso6358.GasFactor(Gas)
        * Gas.GasConstant * Iso6358.ReferenceTemperatureK / _description.VolumeM3;

    /// <summary>Makes the volume another size, its gas at the same pressure and temperature.</summary>
    public void Resize(double volumeM3)
    {
        _volume.SetState(volumeM3, _volume.PressurePa, _volume.TemperatureK);
        Disturb();
    }

    /// <summary>Makes the volume another size with all its gas in it, slowly: the gas keeps its temperature.</summary>
    public void Squeeze(double volumeM3)
    {
        if (volumeM3 == _volume.VolumeM3)
        {
            return;
        }

        _volume.SetState(volumeM3, _volume.PressurePa * _volume.VolumeM3 / volumeM3, _volume.TemperatureK);
        Disturb();
    }

    /// <summary>Brings back what the bench file says for supply, room, leak and volume, and frees every valve.</summary>
    public void Heal()
    {
        SupplyPa = _description.SupplyPa;
        AtmospherePa = _description.AtmospherePa;
        AmbientK = _description.AmbientTemperatureK;
        LeakConductance = _description.LeakConductance;
        if (_volume.VolumeM3 != _description.VolumeM3)
        {
            Resize(_description.VolumeM3);
        }

        foreach (Valve? valve in (ReadOnlySpan<Valve?>)[Fill, Vent, Vacuum, Dump])
        {
            valve?.StuckAt = null;
        }
    }

    /// <summary>Runs the plant through one step of <paramref name="stepMicros"/> that begins at <paramref name="fromMicros"/>.</summary>
    public void Step(long fromMicros, long stepMicros = StepMicros)
    {
        double seconds = stepMicros * 1e-6;
        MoveRelief();
        if (IsStill(Fill, fromMicros) && IsStill(Vent, fromMicros) && IsStill(Vacuum, fromMicros) && IsStill(Dump, fromMicros))
        {
            StepAsItStands(seconds);
            return;
        }

        Disturb();
        int steps = Steps(fromMicros, seconds, out bool gentle);
        double part = seconds / steps;
        for (int i = 0; i < steps; i++)
        {
            long now = fromMicros + (stepMicros * i / steps);
            Move(Fill, _fillPath, now, part);
            Move(Vent, _ventPath, now, part);
            Move(Vacuum, _vacuumPath, now, part);
            Move(Dump, _dumpPath, now, part);
            if (gentle)
            {
                _volume.GentleStep(part, asBefore: false);
            }
            else
            {
                _volume.Step(part);
            }
        }
    }

    private static bool IsStill(Valve? valve, long nowMicros) => valve is null || valve.IsStill(nowMicros);

    // What the steps before tell of the next one no longer holds.
    private void Disturb()
    {
        _restSteps = 0;
        _gentleSteps = 0;
    }

    // No valve moves: what the step has to resolve is the gas alone.
    private void StepAsItStands(double seconds)
    {
        if (_restSteps > 0)
        {
            _restSteps--;
            _volume.RepeatStep();
            return;
        }

        Resolve(seconds);
        _restSteps = _volume.IsAtRest ? RestSteps : 0;
    }

    private void Resolve(double seconds)
    {
        if (_gentleSteps > 0)
        {
            _gentleSteps--;
            _volume.GentleStep(seconds, asBefore: true);
            return;
        }

        double resolve = _volume.FastestRate() * seconds;
        if (resolve < GentleResolve)
        {
            _volume.GentleStep(seconds, asBefore: false);
            _gentleSteps = GentleSteps;
            return;
        }

        int steps = (int)Math.Clamp(Math.Ceiling(2 * resolve), 1, MostSteps);
        for (int i = 0; i < steps; i++)
        {
            _volume.Step(seconds / steps);
        }
    }

    private static void Move(Valve? valve, FlowPath path, long nowMicros, double seconds)
    {
        if (valve is not null)
        {
            path.Conductance = valve.Conductance * valve.Advance(nowMicros, seconds);
        }
    }

    private static double Travel(Valve? valve, long nowMicros, double seconds) =>
        valve is null ? 0 : valve.TravelWithin(nowMicros, seconds);

    private FlowPath Path(Valve? valve) => new()
    {
        BeyondK = _description.AmbientTemperatureK,
        CriticalRatio = valve?.CriticalRatio ?? 0.3,
        Conductance = (valve?.Conductance * valve?.Opening) ?? 0,
    };

    private int Steps(long nowMicros, double seconds, out bool gentle)
    {
        double travel = Math.Max(
            Math.Max(Travel(Fill, nowMicros, seconds), Travel(Vent, nowMicros, seconds)),
            Math.Max(Travel(Vacuum, nowMicros, seconds), Travel(Dump, nowMicros, seconds)));
        int steps = travel > ShortTravel ? StepsWhileTravelling : 1;
        double resolve = _volume.FastestRate() * seconds * 2;
        gentle = resolve < 2 * GentleResolve;
        return resolve <= steps ? steps : (int)Math.Min(MostSteps, Math.Ceiling(resolve));
    }

    private void MoveRelief()
    {
        if (_description.ReliefPa is { } setPa)
        {
            double closeAtPa = setPa - (_description.ReliefHysteresis * (setPa - _description.AtmospherePa));
            bool open = ReliefOpen ? PressurePa > closeAtPa : PressurePa >= setPa;
            if (open != ReliefOpen)
            {
                ReliefOpen = open;
                _reliefPath.Conductance = open ? _description.ReliefConductance : 0;
                Disturb();
            }
        }
    }
}
