namespace Barostep.Tests.Safety.Budget;

/// <summary>A vessel filled through a restrictor, stepped in mass and energy; it shares nothing with the code it checks.</summary>
/// <remarks>Flow by ISO 6358 with ρ₀ = 1.185 kg/m³ at 293.15 K; air as an ideal gas, R = 287.05 J/(kg·K), c_v = 2.5 R, c_p = 3.5 R.</remarks>
internal sealed class FillingGas
{
    public const double Step = 50e-6;
    private const double R = 287.05;
    private const double Cv = 2.5 * R;
    private const double Cp = 3.5 * R;
    private const double Warm = 293.15;

    private readonly double _conductance;
    private readonly double _criticalRatio;
    private readonly double _volume;
    private readonly double _supply;
    private readonly bool _isothermal;
    private readonly List<double> _pressure = [];
    private readonly List<double> _sensor = [];
    private readonly List<double> _mass = [];
    private readonly List<double> _temperature = [];

    /// <summary>Fills from a pressure until well after another is passed, with the valve open all the time.</summary>
    public FillingGas(
        double conductance, double criticalRatio, double volume, double supply, bool isothermal,
        double from, double past, double secondsAfter, double sensorLag)
    {
        (_conductance, _criticalRatio, _volume, _supply, _isothermal) = (conductance, criticalRatio, volume, supply, isothermal);
        double mass = from * volume / (R * Warm);
        double temperature = Warm;
        double sensor = from;
        double? passed = null;
        for (int i = 0; passed is null || i * Step < passed + secondsAfter; i++)
        {
            double pressure = mass * R * temperature / volume;
            passed ??= pressure >= past ? i * Step : null;
            _pressure.Add(pressure);
            _sensor.Add(sensor);
            _mass.Add(mass);
            _temperature.Add(temperature);
            sensor += (pressure - sensor) * Step / sensorLag;
            (mass, temperature) = Take(mass, temperature, Flow(supply, pressure) * Step, Warm);
        }

        Passed = passed.Value;
    }

    /// <summary>When the pressure passes the mark, s.</summary>
    public double Passed { get; }

    /// <summary>What the lagging sensor feels at a time.</summary>
    public double SensorAt(double seconds) => _sensor[Math.Max(0, (int)(seconds / Step))];

    /// <summary>Pressure at a time, the valve still open.</summary>
    public double PressureAt(double seconds) => _pressure[(int)Math.Ceiling(seconds / Step)];

    /// <summary>Pressure after the valve shuts and what is trapped behind it has flowed in.</summary>
    public double PressureAfterShutting(double seconds, double trappedVolume)
    {
        int index = (int)Math.Ceiling(seconds / Step);
        double mass = _mass[index];
        double temperature = _temperature[index];
        double trappedMass = _supply * trappedVolume / (R * Warm);
        double trappedTemperature = Warm;
        double pressure = _pressure[index];
        double trapped = _supply;
        while (trapped - pressure > 1)
        {
            double moved = Flow(trapped, pressure) * Step;
            double inflowTemperature = trappedTemperature;
            (trappedMass, trappedTemperature) = Take(trappedMass, trappedTemperature, -moved, trappedTemperature);
            (mass, temperature) = Take(mass, temperature, moved, inflowTemperature);
            trapped = trappedMass * R * trappedTemperature / trappedVolume;
            pressure = mass * R * temperature / _volume;
        }

        return pressure;
    }

    private double Flow(double upstream, double downstream)
    {
        double ratio = downstream / upstream;
        if (ratio >= 1)
            return 0;
        double beyond = Math.Max(0, (ratio - _criticalRatio) / (1 - _criticalRatio));
        return _conductance * upstream * 1.185 * Math.Sqrt(1 - (beyond * beyond));
    }

    private (double Mass, double Temperature) Take(double mass, double temperature, double moved, double movedTemperature)
    {
        if (_isothermal)
            return (mass + moved, Warm);
        double energy = (mass * Cv * temperature) + (moved * Cp * movedTemperature);
        return (mass + moved, energy / ((mass + moved) * Cv));
    }
}
