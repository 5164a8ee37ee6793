namespace Barostep.Simulators;

/// <summary>A simulated bench as data: plant, device under test and instruments. Immutable; vary it with <c>with</c>.</summary>
public sealed record BenchDescription
{
    public required string Name { get; init; }

    public required PlantDescription Plant { get; init; }

    /// <summary>The 4-20 mA transmitter under test; null on a bench without one.</summary>
    public TransmitterDescription? Transmitter { get; init; }

    /// <summary>The pressure switch under test; null on a bench without one.</summary>
    public SwitchDescription? Switch { get; init; }

    public required IReadOnlyList<InstrumentDescription> Instruments { get; init; }

    /// <summary>The dump valve and the port of its relay; null on a bench without one.</summary>
    public DumpDescription? Dump { get; init; }

    /// <summary>The errors of what is under test on it.</summary>
    public DeviceErrors DeviceErrors => Transmitter?.Errors
        ?? Instruments.FirstOrDefault(i => i.Kind == InstrumentKind.Person)?.Person!.Dial.Errors
        ?? Instruments.FirstOrDefault(i => i.Kind == InstrumentKind.Gauge)?.Errors
        ?? new DeviceErrors();

    /// <summary>The same bench with every line at another speed.</summary>
    public BenchDescription AtBaud(int baud) => this with
    {
        Instruments = [.. Instruments.Select(i => i with { Baud = baud })],
        Dump = Dump is null ? null : Dump with { Baud = baud },
    };

    /// <summary>The same bench with other errors of the transmitter and of every digital gauge under test.</summary>
    public BenchDescription WithDeviceErrors(DeviceErrors errors) => this with
    {
        Transmitter = Transmitter is null ? null : Transmitter with { Errors = errors },
        Instruments = [.. Instruments.Select(i => i.WithDeviceErrors(errors))],
    };
}

/// <summary>Gas, volume, wall, valves and what lies beyond them. SI units; pressures absolute.</summary>
public sealed record PlantDescription
{
    /// <summary>air, nitrogen, helium, argon or carbon dioxide.</summary>
    public required string Gas { get; init; }

    public double AtmospherePa { get; init; } = 101_325;

    public double AmbientTemperatureK { get; init; } = 293.15;

    public required double VolumeM3 { get; init; }

    /// <summary>Heat conductance between gas and wall, W/K.</summary>
    public double WallConductance { get; init; } = 0.5;

    /// <summary>Heat capacity of the wall, J/K.</summary>
    public double WallHeatCapacity { get; init; } = 300;

    /// <summary>Heat conductance between wall and room, W/K.</summary>
    public double AmbientConductance { get; init; } = 0.5;

    public required double SupplyPa { get; init; }

    public required ValveDescription Fill { get; init; }

    public required ValveDescription Vent { get; init; }

    /// <summary>Valve to the vacuum source; null on a bench without one.</summary>
    public ValveDescription? Vacuum { get; init; }

    public double VacuumPa { get; init; } = 2_000;

    /// <summary>Sonic conductance of the leak to the room, m3/(s Pa).</summary>
    public double LeakConductance { get; init; }

    /// <summary>Set pressure of the relief valve; null on a bench without one.</summary>
    public double? ReliefPa { get; init; }

    /// <summary>The relief valve closes at its set gauge pressure less this share.</summary>
    public double ReliefHysteresis { get; init; } = 0.1;

    public double ReliefConductance { get; init; } = 2e-8;
}

/// <summary>A valve by ISO 6358 with its actuator.</summary>
/// <param name="Conductance">Sonic conductance C fully open, m3/(s Pa) at reference conditions.</param>
/// <param name="CriticalRatio">Critical pressure ratio b.</param>
/// <param name="DeadTimeMicros">From a command to the first motion.</param>
/// <param name="TravelTimeMicros">From shut to fully open.</param>
public sealed record ValveDescription(
    double Conductance, double CriticalRatio = 0.3, long DeadTimeMicros = 5_000, long TravelTimeMicros = 20_000);

/// <summary>Dump valve, open unless a keep-alive arrives on the port in time.</summary>
public sealed record DumpDescription(string Port, int Baud, ValveDescription Valve, long KeepAliveMicros = 500_000);

/// <summary>Errors of indication of a device, each in per cent of span.</summary>
/// <param name="ZeroPercent">Shift of the whole line.</param>
/// <param name="SpanPercent">Error that grows from 0 at the lower to this at the upper range value.</param>
/// <param name="HysteresisPercent">Widest distance between the descending and the ascending line.</param>
/// <param name="LinearityPercent">Cubic bow: this at its peak in the upper half, its opposite in the lower.</param>
public sealed record DeviceErrors(
    double ZeroPercent = 0, double SpanPercent = 0, double HysteresisPercent = 0, double LinearityPercent = 0);

/// <summary>A two-wire transmitter under test. Gauge range in Pa, noise in A.</summary>
public sealed record TransmitterDescription
{
    public required double LowerPa { get; init; }

    public required double UpperPa { get; init; }

    public DeviceErrors Errors { get; init; } = new();

    public long LagMicros { get; init; } = 50_000;

    public double NoiseA { get; init; } = 0.3e-6;
}

/// <summary>A pressure switch under test: gauge pressures at which its contact closes and opens again, Pa.</summary>
/// <param name="TripPa">Where the contact closes.</param>
/// <param name="ResetPa">Where it opens again; above <paramref name="TripPa"/> for one that trips on a fall.</param>
/// <param name="ScatterPa">Standard deviation of both from one change to the next.</param>
public sealed record SwitchDescription(double TripPa, double ResetPa, double ScatterPa);

/// <summary>A dial gauge under test. Gauge range in Pa.</summary>
public sealed record DialDescription
{
    public required double LowerPa { get; init; }

    public required double UpperPa { get; init; }

    public DeviceErrors Errors { get; init; } = new();

    /// <summary>By how much friction holds the pointer back until it is tapped, per cent of span.</summary>
    public double FrictionPercent { get; init; }

    /// <summary>From one line of the scale to the next, Pa.</summary>
    public required double DivisionPa { get; init; }

    /// <summary>Into how many parts a person divides that by eye.</summary>
    public int PartsOfDivision { get; init; } = 5;

    public long LagMicros { get; init; } = 100_000;
}

/// <summary>Somebody at the bench, with a hand pump.</summary>
public sealed record PersonDescription
{
    public required DialDescription Dial { get; init; }

    /// <summary>By how much the fine screw makes the volume smaller, m3.</summary>
    public required double ScrewM3 { get; init; }

    /// <summary>The order to raise at which the person pumps too far, from 1; 0 for never.</summary>
    public int SlipsAtRaise { get; init; }

    /// <summary>And how far too far, Pa.</summary>
    public double SlipPa { get; init; }
}

public enum InstrumentKind
{
    Controller,
    Reference,
    Gauge,
    Multimeter,

    /// <summary>Tells the absolute pressure of the room.</summary>
    Barometer,

    /// <summary>Fill and bleed valve of a pump, opened for stated times.</summary>
    Valves,

    /// <summary>Somebody with a hand pump, a release valve and a dial gauge to look at.</summary>
    Person,

    /// <summary>Relay of the dump valve; made from <see cref="DumpDescription"/>, not written as an instrument.</summary>
    Dump,
}

public enum Dialect
{
    /// <summary>IEEE 488.2 and the grammar of SCPI-1999, LF-terminated.</summary>
    Text,

    /// <summary>Fixed-width frames with address and checksum, CR-terminated.</summary>
    FixedWidth,

    /// <summary>Registers over Modbus RTU.</summary>
    Registers,

    /// <summary>Lines with address and check, CR LF-terminated.</summary>
    Panel,
}

/// <summary>One instrument and its port. Members that a kind does not have are ignored.</summary>
public sealed record InstrumentDescription
{
    public required InstrumentKind Kind { get; init; }

    /// <summary>Name of the port, and of the link that leads to it.</summary>
    public required string Port { get; init; }

    public Dialect Dialect { get; init; } = Dialect.Text;

    public int Baud { get; init; } = 9600;

    public string Serial { get; init; } = "000000";

    /// <summary>Address in the fixed-width dialect and over Modbus, 1 to 99.</summary>
    public int Address { get; init; } = 1;

    /// <summary>From the last byte of a request to the first byte of its reply.</summary>
    public long TurnaroundMicros { get; init; } = 2_000;

    /// <summary>Each byte is released at its own end instead of the whole reply at the end of its last byte.</summary>
    public bool PerByte { get; init; }

    /// <summary>Everything that arrives is sent back before it is answered.</summary>
    public bool Echo { get; init; }

    /// <summary>How often the reading is told without being asked, in the text dialect; 0 for never.</summary>
    public long TellsEveryMicros { get; init; }

    /// <summary>From power on until the instrument listens.</summary>
    public long BootMicros { get; init; } = 1_500_000;

    /// <summary>Gauge range that can be told, Pa.</summary>
    public double LowerPa { get; init; } = -100_000;

    public double UpperPa { get; init; } = 2_000_000;

    /// <summary>Unit at power on: bar, mbar, Pa, kPa, MPa or psi.</summary>
    public string Unit { get; init; } = "bar";

    /// <summary>Tells gauge pressure at power on; otherwise absolute.</summary>
    public bool Gauge { get; init; } = true;

    public double OffsetPa { get; init; }

    public double Gain { get; init; } = 1;

    public double NoisePa { get; init; }

    public double ResolutionPa { get; init; } = 1;

    public double BarometerOffsetPa { get; init; }

    public long LagMicros { get; init; } = 20_000;

    /// <summary>Period of the instrument's own conversion; a reading is up to this old.</summary>
    public long UpdateMicros { get; init; } = 20_000;

    /// <summary>Gauge under test: its errors of indication.</summary>
    public DeviceErrors Errors { get; init; } = new();

    /// <summary>Controller: highest gauge set point at power on, Pa.</summary>
    public double LimitPa { get; init; } = 2_000_000;

    /// <summary>Controller: rate at power on, Pa/s.</summary>
    public double RatePaPerS { get; init; } = 100_000;

    /// <summary>Controller: share of each step by which it lands beyond the set point, 0 for none.</summary>
    public double OvershootShare { get; init; }

    /// <summary>Person: pump and dial gauge; null for every other kind.</summary>
    public PersonDescription? Person { get; init; }

    /// <summary>Multimeter: integration time at power on, in power line cycles of 20 ms.</summary>
    public double PowerLineCycles { get; init; } = 1;

    /// <summary>Multimeter: gain error, parts per million.</summary>
    public double GainErrorPpm { get; init; }

    /// <summary>Multimeter: offset of the current range, A.</summary>
    public double OffsetA { get; init; }

    /// <summary>Multimeter: noise of one power line cycle, A.</summary>
    public double NoiseA { get; init; }

    /// <summary>The same with other errors of what is under test; anything else stays as it is.</summary>
    internal InstrumentDescription WithDeviceErrors(DeviceErrors errors) => Kind switch
    {
        InstrumentKind.Gauge => this with { Errors = errors },
        InstrumentKind.Person => this with { Person = Person! with { Dial = Person.Dial with { Errors = errors } } },
        _ => this,
    };
}
