namespace Barostep.Simulators.Pneumatics;

/// <summary>
/// A rigid volume of ideal gas with balances of mass and energy: flow through its paths, heat exchange with a wall
/// of finite heat capacity, and of the wall with the room.
/// </summary>
/// <remarks>
/// Classical Runge-Kutta of fourth order on (mass, internal energy, wall temperature). It keeps linear invariants
/// exactly, so mass and energy balance to rounding, and at 1 ms it is far inside its stability for every passage that
/// is not a burst; the caller halves the step where <see cref="FastestRate"/> says so. A step allocates nothing.
/// </remarks>
public sealed class GasVolume
{
    /// <summary>A change in one step, as a share of what changes, below which the gas rests.</summary>
    private const double RestShare = 1e-10;

    private readonly Gas _gas;
    private readonly double _cp;
    private readonly double _inverseCv;
    private readonly double _flowFactor;
    private readonly FlowPath[] _paths;
    private readonly FlowPath[] _open;
    private readonly double[] _inflowFactor;
    private readonly double[] _ratioScale;
    private int _openCount;
    private double _pressurePerEnergy;
    private double _mass;
    private double _energy;
    private double _wallK;
    private double _inverseWallHeatCapacity;
    private double _massMoved = double.MaxValue;
    private double _energyMoved;
    private double _wallMoved;
    private double _massRate;
    private double _energyRate;
    private double _wallRate;

    public GasVolume(Gas gas, double volumeM3, double pressurePa, double temperatureK, IReadOnlyList<FlowPath> paths)
    {
        _gas = gas;
        _cp = gas.Cp;
        _inverseCv = 1 / gas.Cv;
        _flowFactor = Iso6358.ReferenceDensity * Math.Sqrt(Iso6358.ReferenceTemperatureK) * Iso6358.GasFactor(gas);
        _paths = [.. paths];
        _open = new FlowPath[_paths.Length];
        _inflowFactor = new double[_paths.Length];
        _ratioScale = new double[_paths.Length];
        _wallK = temperatureK;
        SetState(volumeM3, pressurePa, temperatureK);
    }

    /// <summary>Heat conductance between gas and wall, W/K; 0 makes the volume adiabatic.</summary>
    public double WallConductance { get; set; }

    /// <summary>Heat capacity of the wall, J/K; infinite unless set.</summary>
    public double WallHeatCapacity
    {
        get => 1 / _inverseWallHeatCapacity;
        set => _inverseWallHeatCapacity = 1 / value;
    }

    /// <summary>Heat conductance between wall and room, W/K.</summary>
    public double AmbientConductance { get; set; }

    public double AmbientK { get; set; } = Iso6358.ReferenceTemperatureK;

    public double VolumeM3 { get; private set; }

    public double MassKg => _mass;

    /// <summary>Internal energy of the gas, J, from 0 K.</summary>
    public double EnergyJ => _energy;

    public double PressurePa => _energy * _pressurePerEnergy;

    public double TemperatureK => _energy / _mass * _inverseCv;

    public double WallTemperatureK => _wallK;

    /// <summary>Puts the gas into a state at once; the wall keeps its temperature.</summary>
    public void SetState(double volumeM3, double pressurePa, double temperatureK)
    {
        VolumeM3 = volumeM3;
        _pressurePerEnergy = (_gas.Kappa - 1) / volumeM3;
        _massMoved = double.MaxValue;
        _mass = pressurePa * volumeM3 / (_gas.GasConstant * temperatureK);
        _energy = _mass * _gas.Cv * temperatureK;
    }

    /// <summary>An upper bound on the fastest rate of the balances now, 1/s: what a step has to resolve.</summary>
    public double FastestRate()
    {
        double conductance = 0;
        foreach (FlowPath path in _paths)
        {
            conductance += path.Conductance;
        }

        // Near equal pressures the flow share changes by about 54 times the relative pressure difference (b = 0.3).
        const double Steepest = 54;
        double temperatureK = TemperatureK;
        return (conductance * _flowFactor * Math.Sqrt(temperatureK) * _gas.GasConstant * _gas.Kappa * Steepest / VolumeM3)
            + (WallConductance * _inverseCv / _mass);
    }

    /// <summary>Runs the balances through one step with the paths as they are.</summary>
    public void Step(double seconds)
    {
        GatherOpenPaths();
        double half = 0.5 * seconds;
        Rates(_mass, _energy, _wallK, out double m1, out double e1, out double w1);
        Rates(_mass + (half * m1), _energy + (half * e1), _wallK + (half * w1), out double m2, out double e2, out double w2);
        Rates(_mass + (half * m2), _energy + (half * e2), _wallK + (half * w2), out double m3, out double e3, out double w3);
        Rates(_mass + (seconds * m3), _energy + (seconds * e3), _wallK + (seconds * w3), out double m4, out double e4, out double w4);
        double sixth = seconds / 6;
        Move(sixth * (m1 + (2 * (m2 + m3)) + m4), sixth * (e1 + (2 * (e2 + e3)) + e4), sixth * (w1 + (2 * (w2 + w3)) + w4));
    }

    /// <summary>
    /// As <see cref="Step"/>, of second order: a fraction of the work where nothing changes much within a step. Its error
    /// in one step is less than half the third power of <see cref="FastestRate"/> times the step.
    /// </summary>
    /// <param name="seconds">Length of the step.</param>
    /// <param name="asBefore">Whether the step before was of this length and kind, and no path changed since.</param>
    public void GentleStep(double seconds, bool asBefore)
    {
        if (asBefore)
        {
            StepOn(seconds);
        }
        else
        {
            MidpointStep(seconds);
        }
    }

    // Adams-Bashforth of second order: the rates of the step before are known.
    private void StepOn(double seconds)
    {
        Rates(_mass, _energy, _wallK, out double m, out double e, out double w);
        Move(
            seconds * ((1.5 * m) - (0.5 * _massRate)),
            seconds * ((1.5 * e) - (0.5 * _energyRate)),
            seconds * ((1.5 * w) - (0.5 * _wallRate)));
        (_massRate, _energyRate, _wallRate) = (m, e, w);
    }

    private void MidpointStep(double seconds)
    {
        GatherOpenPaths();
        double half = 0.5 * seconds;
        Rates(_mass, _energy, _wallK, out double m1, out double e1, out double w1);
        Rates(_mass + (half * m1), _energy + (half * e1), _wallK + (half * w1), out double m2, out double e2, out double w2);
        Move(seconds * m2, seconds * e2, seconds * w2);
        (_massRate, _energyRate, _wallRate) = (m1, e1, w1);
    }

    /// <summary>Whether the step before changed so little that the next few may change as much again.</summary>
    public bool IsAtRest =>
        Math.Abs(_massMoved) < RestShare * _mass && Math.Abs(_energyMoved) < RestShare * _energy && Math.Abs(_wallMoved) < RestShare * _wallK;

    /// <summary>A step that changes everything by as much as the one before.</summary>
    public void RepeatStep() => Move(_massMoved, _energyMoved, _wallMoved);

    private void Move(double mass, double energy, double wallK)
    {
        _massMoved = mass;
        _energyMoved = energy;
        _wallMoved = wallK;
        _mass += mass;
        _energy += energy;
        _wallK += wallK;
    }

    private void GatherOpenPaths()
    {
        _openCount = 0;
        foreach (FlowPath path in _paths)
        {
            if (path.Conductance > 0)
            {
                _open[_openCount] = path;
                _inflowFactor[_openCount] = path.Conductance * _flowFactor * path.InverseRootBeyondK;
                _ratioScale[_openCount] = 1 / (1 - path.CriticalRatio);
                _openCount++;
            }
        }
    }

    private void Rates(double mass, double energy, double wallK, out double massRate, out double energyRate, out double wallRate)
    {
        double temperatureK = energy * _inverseCv / mass;
        double toGas = WallConductance * (wallK - temperatureK);
        massRate = 0;
        energyRate = toGas;
        wallRate = ((AmbientConductance * (AmbientK - wallK)) - toGas) * _inverseWallHeatCapacity;
        if (_openCount == 0)
        {
            return;
        }

        double pressurePa = energy * _pressurePerEnergy;
        double outflowFactor = _flowFactor / Math.Sqrt(temperatureK);
        for (int i = 0; i < _openCount; i++)
        {
            FlowPath path = _open[i];
            if (path.BeyondPa >= pressurePa)
            {
                double flow = _inflowFactor[i] * path.BeyondPa
                    * Iso6358.FlowShare(path.CriticalRatio, pressurePa / path.BeyondPa, _ratioScale[i]);
                massRate += flow;
                energyRate += flow * _cp * path.BeyondK;
            }
            else
            {
                double flow = path.Conductance * outflowFactor * pressurePa
                    * Iso6358.FlowShare(path.CriticalRatio, path.BeyondPa / pressurePa, _ratioScale[i]);
                massRate -= flow;
                energyRate -= flow * _cp * temperatureK;
            }
        }
    }
}
