using Barostep.Simulators.Instruments;
using Barostep.Simulators.Pneumatics;
using Barostep.Simulators.Wire;

namespace Barostep.Simulators.Faults;

/// <summary>Turns fault lines into what they do to the plant, an instrument or a line.</summary>
public sealed class FaultInjector(BenchClock clock, Plant plant, IReadOnlyList<SimulatedPort> ports)
{
    private readonly Instrument[] _instruments = [.. ports.Select(p => p.Instrument)];
    private readonly double _ownVolumeM3 = plant.Volume.VolumeM3;
    private readonly double _ownSupplyPa = plant.SupplyPa;
    private readonly double _ownAtmospherePa = plant.AtmospherePa;
    private readonly double _ownLeak = plant.LeakConductance;
    private readonly double _ownAmbientK = plant.AmbientK;

    /// <summary>Understands a line; null for a blank one or a comment.</summary>
    /// <exception cref="FaultLineException">The line is not understood.</exception>
    public Fault? Read(string line)
    {
        string[] words = line.Split('#')[0].Split((char[])[' ', '\t', '\r'], StringSplitOptions.RemoveEmptyEntries);
        long? atMicros = null;
        if (words.Length >= 2 && words[0] == "at")
        {
            atMicros = (long)Math.Round(1e6 * Number(words[1], "seconds", 0, 1e9));
            words = words[2..];
        }

        if (words.Length == 0 && atMicros is null)
        {
            return null;
        }

        if (words.Length < 2 || words[0] != "fault")
        {
            throw new FaultLineException($"'{line.Trim()}' is not a fault line: write 'fault PORT KIND', 'fault plant KIND', 'fault ports swap A B' or 'fault clear'");
        }

        return new Fault(atMicros, Action(words[1], words[2..]));
    }

    private static double Number(string word, string what, double from, double to) =>
        PressureText.TryNumber(word, out double value) && value >= from && value <= to
            ? value
            : throw new FaultLineException($"'{word}' is no {what}: write a number from {from} to {to}");

    private static FaultLineException Unknown(string target, string[] words, string allowed) =>
        new($"'{string.Join(' ', words)}' is no fault of '{target}': write one of {allowed}");

    private static bool OnOff(string[] words) => words[^1] switch
    {
        "on" => true,
        "off" => false,
        _ => throw new FaultLineException($"'{words[^1]}' after '{words[0]}': write on or off"),
    };

    private static FaultCount Count(string word) => word switch
    {
        "on" => FaultCount.Always,
        "off" => default,
        _ => FaultCount.Next((int)Number(word, "count of replies", 1, 1e6)),
    };

    private static double Difference(string[] words) =>
        PressureText.TryDifference(string.Join(' ', words), out double pascals)
            ? pascals
            : throw new FaultLineException($"'{string.Join(' ', words)}' is no pressure difference: {PressureText.DifferenceForm}");

    private Action Action(string target, string[] words)
    {
        if (target == "clear" && words.Length == 0)
        {
            return Clear;
        }

        if (target == "ports" && words is ["swap", string a, string b])
        {
            SimulatedPort first = ports[IndexOf(a)];
            SimulatedPort second = ports[IndexOf(b)];
            return () => Swap(first, second);
        }

        if (target == "plant")
        {
            return PlantFault(words);
        }

        int index = IndexOf(target);
        return LineFault(ports[index], words) ?? InstrumentFault(_instruments[index], words)
            ?? throw Unknown(target, words, "silence, garble, truncate, duplicate, late, merge, delay, echo, wrong-speed, garbage, disconnect, reconnect, restart, serial, unit, sensor, ignore, reset-limit, open-loop, with the arguments in docs/simulation.md");
    }

    private int IndexOf(string name)
    {
        for (int i = 0; i < ports.Count; i++)
        {
            if (ports[i].Name == name)
            {
                return i;
            }
        }

        throw new FaultLineException($"there is no port '{name}': write one of {string.Join(", ", ports.Select(p => p.Name))}, plant, ports or clear");
    }

    private static void Swap(SimulatedPort a, SimulatedPort b)
    {
        Instrument ofA = a.Instrument;
        a.Attach(b.Instrument);
        b.Attach(ofA);
    }

    private void Clear()
    {
        plant.Heal();
        for (int i = 0; i < ports.Count; i++)
        {
            ports[i].Attach(_instruments[i]);
            ports[i].Heal();
            _instruments[i].Serial = _instruments[i].Description.Serial;
            switch (_instruments[i])
            {
                case PressureController controller:
                    controller.Sensor.Heal();
                    controller.Ignores = false;
                    break;
                case PressureIndicator indicator:
                    indicator.Sensor.Heal();
                    break;
                case BenchMultimeter meter:
                    meter.OpenLoop = false;
                    break;
            }
        }
    }

    private static Action? LineFault(SimulatedPort port, string[] words)
    {
        WireFaults faults = port.Faults;
        switch (words)
        {
            case ["disconnect"]:
                return port.Disconnect;
            case ["reconnect"]:
                return port.Reconnect;
            case ["echo", _]:
                bool echo = OnOff(words);
                return () => faults.Echo = echo;
            case ["wrong-speed", _]:
                bool wrongSpeed = OnOff(words);
                return () => faults.WrongSpeed = wrongSpeed;
            case ["delay", string delay]:
                long delayMicros = (long)(1000 * Number(delay, "delay in milliseconds", 0, 1e6));
                return () => faults.DelayMicros = delayMicros;
            case ["garbage", string rate]:
                double perSecond = Number(rate, "rate in bytes per second", 0, 1e5);
                return () => port.StartGarbage(perSecond == 0 ? 0 : (long)Math.Max(1, 1e6 / perSecond));
            case [string kind, string count]:
                return ReplyFault(faults, kind, count);
            default:
                return null;
        }
    }

    private static Action? ReplyFault(WireFaults faults, string kind, string word)
    {
        switch (kind)
        {
            case "silence":
                FaultCount silence = Count(word);
                return () => faults.Silence = silence;
            case "garble":
                FaultCount garble = Count(word);
                return () => faults.Garble = garble;
            case "truncate":
                FaultCount truncate = Count(word);
                return () => faults.Truncate = truncate;
            case "duplicate":
                FaultCount duplicate = Count(word);
                return () => faults.Duplicate = duplicate;
            case "late":
                FaultCount late = Count(word);
                return () => faults.Late = late;
            case "merge":
                FaultCount merge = Count(word);
                return () => faults.Merge = merge;
            default:
                return null;
        }
    }

    private Action? InstrumentFault(Instrument instrument, string[] words)
    {
        switch (words, instrument)
        {
            case (["restart"], _):
                return () => instrument.Restart(clock.NowMicros);
            case (["serial", string serial], _):
                return () => instrument.Serial = serial;
            case (["ignore", _], PressureController controller):
                bool ignores = OnOff(words);
                return () => controller.Ignores = ignores;
            case (["reset-limit"], PressureController controller):
                return controller.LoseLimit;
            case (["open-loop", _], BenchMultimeter meter):
                bool open = OnOff(words);
                return () => meter.OpenLoop = open;
            case (["unit", string name, .. string[] reference], PressureIndicator indicator):
                return UnitFault(indicator, name, reference);
            case (["sensor", string kind, .. string[] rest], PressureIndicator indicator) when rest.Length > 0:
                return SensorFault(indicator.Sensor, kind, rest);
            default:
                return null;
        }
    }

    private static Action? UnitFault(PressureIndicator indicator, string name, string[] reference)
    {
        UnitOfPressure unit = UnitOfPressure.Named(name)
            ?? throw new FaultLineException($"there is no unit '{name}': write one of {string.Join(", ", UnitOfPressure.All.Select(u => u.Name))}");
        return reference switch
        {
            [] => () => indicator.SetUnit(unit, indicator.Gauge),
            ["gauge"] => () => indicator.SetUnit(unit, gauge: true),
            ["absolute"] => () => indicator.SetUnit(unit, gauge: false),
            _ => null,
        };
    }

    private static Action? SensorFault(PressureSensor sensor, string kind, string[] rest)
    {
        switch (kind)
        {
            case "freeze":
                bool frozen = OnOff(rest);
                return () => sensor.Frozen = frozen;
            case "overrange":
                bool over = OnOff(rest);
                return () => sensor.ForcedOverRange = over;
            case "offset":
                double offset = Difference(rest);
                return () => sensor.AddedOffsetPa = offset;
            case "drift":
                double drift = Difference(rest);
                return () => sensor.DriftPaPerS = drift;
            case "gain":
                double gain = Number(rest[0], "gain", 0, 100);
                return () => sensor.AddedGain = gain;
            case "lag":
                double lag = Number(rest[0], "lag factor", 0, 1e4);
                return () => sensor.LagFactor = lag;
            case "noise":
                double noise = Number(rest[0], "noise factor", 0, 1e6);
                return () => sensor.NoiseFactor = noise;
            default:
                return null;
        }
    }

    private Action PlantFault(string[] words)
    {
        switch (words)
        {
            case [string name, "stuck", string opening] when ValveNamed(name) is { } valve:
                double? at = opening == "off" ? null : Number(opening, "opening", 0, 1);
                return () => valve.StuckAt = at;
            case ["leak", string leak]:
                double conductance = leak == "off" ? _ownLeak : Number(leak, "conductance", 0, 1e-3);
                return () => plant.LeakConductance = conductance;
            case ["volume", string litres]:
                double volume = litres == "off" ? _ownVolumeM3 : 1e-3 * Number(litres, "volume in litres", 0.001, 1000);
                return () => plant.Resize(volume);
            case ["supply", .. string[] pressure]:
                double supply = pressure is ["off"] ? _ownSupplyPa : Pressure(pressure);
                return () => plant.SupplyPa = supply;
            case ["ambient", string celsius]:
                double ambient = celsius == "off" ? _ownAmbientK : 273.15 + Number(celsius, "temperature in degrees Celsius", -50, 100);
                return () => plant.AmbientK = ambient;
            case ["atmosphere", .. string[] pressure]:
                double atmosphere = pressure is ["off"] ? _ownAtmospherePa : Pressure(pressure);
                return () => plant.AtmospherePa = atmosphere;
            default:
                throw Unknown("plant", words, "fill stuck OPENING, vent stuck OPENING, vacuum stuck OPENING, dump stuck OPENING, leak CONDUCTANCE, supply PRESSURE, volume LITRES, atmosphere PRESSURE, ambient CELSIUS; 'off' instead of the value ends each");
        }
    }

    private double Pressure(string[] words) =>
        PressureText.TryAbsolute(string.Join(' ', words), plant.AtmospherePa, out double pascals)
            ? Math.Max(1, pascals)
            : throw new FaultLineException($"'{string.Join(' ', words)}' is no pressure: {PressureText.Form}");

    private Valve? ValveNamed(string name) => name switch
    {
        "fill" => plant.Fill,
        "vent" => plant.Vent,
        "vacuum" => plant.Vacuum,
        "dump" => plant.Dump,
        _ => null,
    };
}
