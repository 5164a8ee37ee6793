using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>One pressurised part of a bench, with what it can stand.</summary>
/// <param name="Name">As shown beside the limit that it sets.</param>
/// <param name="Rating">Highest pressure it may see.</param>
/// <param name="Floor">Lowest pressure it may see.</param>
/// <param name="MaxRatePascalsPerSecond">Fastest change it stands, in Pa/s.</param>
public sealed record BenchPart(string Name, StatedPressure Rating, StatedPressure Floor, double MaxRatePascalsPerSecond)
{
    /// <summary>Share of the rating that is left at the bench's highest temperature.</summary>
    public decimal Derating { get; init; } = 1m;

    /// <summary>What the part stands on this bench: its rating as derated.</summary>
    public StatedPressure DeratedRating => Rating with { Value = Rating.Value * Derating };
}

/// <summary>A flow path by ISO 6358: sonic conductance and critical pressure ratio.</summary>
/// <param name="Conductance">C in m³/(s·Pa).</param>
/// <param name="CriticalRatio">b, between 0 and 1.</param>
public sealed record FlowPath(double Conductance, double CriticalRatio);

/// <summary>The figures of the gas path that the overshoot budget needs.</summary>
/// <param name="Gas">The gas, by name; decides the largest fill rate.</param>
/// <param name="SupplyMaximum">The highest pressure the supply can deliver if its regulator fails.</param>
/// <param name="VolumeMinimum">Smallest volume that can occur, m³.</param>
/// <param name="VolumeMaximum">Largest volume that can occur, m³.</param>
/// <param name="Fill">All fill paths that can be open together.</param>
/// <param name="Vent">The vent path that is sure to open.</param>
/// <param name="TrappedVolume">Gas between the shut valve and the restrictor, m³.</param>
public sealed record GasPath(
    string Gas,
    StatedPressure SupplyMaximum,
    double VolumeMinimum,
    double VolumeMaximum,
    FlowPath Fill,
    FlowPath Vent,
    double TrappedVolume)
{
    /// <summary>Gas warmed by its regulator's room on a hot day: 40 °C (trade practice).</summary>
    public const double WarmestSupplyKelvin = 313;

    /// <summary>Temperature of the gas that arrives, K; warm gas fills faster.</summary>
    public double SupplyTemperatureKelvin { get; init; } = WarmestSupplyKelvin;

    /// <summary>Why the supply cannot deliver more than <see cref="SupplyMaximum"/>; empty where nobody said.</summary>
    public string SupplyMaximumReason { get; init; } = string.Empty;
}

/// <summary>An instrument as it is fitted to a bench: which definition, on which port, and who it must be.</summary>
/// <param name="Definition">How to talk to it.</param>
/// <param name="Port">A device path, a <c>tcp://host:port</c> address, or a name under the run's port folder.</param>
/// <param name="Baud">Line speed; null takes the definition's.</param>
/// <param name="SerialNumber">The serial number it must report; null accepts any of the right model.</param>
/// <param name="StandardUncertaintyPascals">Standard uncertainty of what it tells, Pa; 0 where not stated.</param>
public sealed record FittedInstrument(
    InstrumentDefinition Definition,
    string Port,
    int? Baud,
    string? SerialNumber,
    double StandardUncertaintyPascals)
{
    /// <summary>Smallest step of what it tells, Pa; 0 where not stated.</summary>
    public double ResolutionPascals { get; init; }

    /// <summary>What is known of it as a reference standard; null where the bench names none.</summary>
    public ReferenceStandard? Standard { get; init; }
}

/// <summary>One bench: what is fitted, what it can stand, and the limits its user set.</summary>
public sealed record BenchDefinition
{
    /// <summary>Worst lateness seen of a cycle that shares its process with other work: 150 ms.</summary>
    public const long SharedProcessLatenessMicros = 150_000;

    /// <summary>Long enough for a point by hand, short enough that no bench stays under pressure over a break: ten minutes (trade practice).</summary>
    public const long UsualAnswerMicros = 600_000_000;

    /// <summary>The name by which commands call it: the file's name without its ending.</summary>
    public required string Name { get; init; }

    /// <summary>One line for people.</summary>
    public required string Title { get; init; }

    /// <summary>Atmosphere that gauge values count from, until a barometer is fitted.</summary>
    public required StatedPressure Atmosphere { get; init; }

    /// <summary>
    /// Whether someone wrote the atmosphere down. The standard atmosphere stands in for it in limits, but no device
    /// is compared through it with a reference that counts from elsewhere: weather moves it by some 3 %.
    /// </summary>
    public bool AtmosphereStated { get; init; } = true;

    /// <summary>The ceiling the user set. The effective ceiling may be lower, never higher.</summary>
    public required StatedPressure Ceiling { get; init; }

    /// <summary>The floor the user set.</summary>
    public required StatedPressure Floor { get; init; }

    /// <summary>How far below the effective ceiling every set point stays; null takes 2 % of the way from the atmosphere to it.</summary>
    public PressureDifference? SetPointMargin { get; init; }

    /// <summary>Fastest change of pressure that a run may ask for, in Pa/s.</summary>
    public required double MaxRatePascalsPerSecond { get; init; }

    /// <summary>Period of the control cycle, µs.</summary>
    public required long PeriodMicros { get; init; }

    /// <summary>How late a cycle may be on this machine before that counts as a fault, µs. It is part of the overshoot.</summary>
    public long LatenessMicros { get; init; } = SharedProcessLatenessMicros;

    public required IReadOnlyList<BenchPart> Parts { get; init; }

    public required GasPath GasPath { get; init; }

    /// <summary>By how much the source may pass a set point; null takes 1 % of the way from the atmosphere to the ceiling.</summary>
    public PressureDifference? ControllerOvershoot { get; init; }

    /// <summary>By how much the atmosphere may move while nobody looks at the barometer, Pa; weather does 3 kPa.</summary>
    public double AtmosphereSpreadPascals { get; init; } = 3_000;

    public ReactionTimes Reaction { get; init; } = ReactionTimes.Default;

    public BenchProtection Protection { get; init; } = BenchProtection.None;

    /// <summary>Levels, barometer and shunt.</summary>
    public MeasuringArrangement Arrangement { get; init; } = MeasuringArrangement.Unknown;

    /// <summary>What holds of the room where nobody reads it; null where nothing does.</summary>
    public RoomClimate? Room { get; init; }

    /// <summary>The pressure source, of the role controller or valves; null where a person makes the pressure.</summary>
    public required FittedInstrument? Source { get; init; }

    /// <summary>The person who makes the pressure; null where an instrument does.</summary>
    public PersonAtPump? Person { get; init; }

    /// <summary>How long a question under pressure, or a pressure that a person is to make, is waited for before the run ends, µs.</summary>
    public long AnswersWithinMicros { get; init; } = UsualAnswerMicros;

    /// <summary>The reference standard. Its range end is one of the limits.</summary>
    public required FittedInstrument Reference { get; init; }

    /// <summary>The multimeter that reads devices with an electrical output; null where the bench has none.</summary>
    public FittedInstrument? Multimeter { get; init; }

    /// <summary>A digital gauge under test that speaks for itself; null where devices are read through the multimeter.</summary>
    public FittedInstrument? DeviceLine { get; init; }

    /// <summary>The relay that holds the normally open dump valve shut; null where the bench has none.</summary>
    public FittedInstrument? DumpValve { get; init; }

    /// <summary>The barometer that is read during a run; null where a person reads one, or nobody.</summary>
    public FittedInstrument? BarometerLine { get; init; }

    /// <summary>The inputs beside <see cref="Multimeter"/> and <see cref="DeviceLine"/>: channels of a multimeter, lines of further devices.</summary>
    public IReadOnlyList<DeviceInput> FurtherInputs { get; init; } = [];

    /// <summary>The devices that hang on the manifold in one run, the leading one first; empty while nothing is said of it.</summary>
    public IReadOnlyList<MountedDevice> Mounted { get; init; } = [];

    /// <summary>Every input to which a device can be wired, in the order in which they are taken.</summary>
    public IReadOnlyList<DeviceInput> Inputs =>
    [
        .. Multimeter is { } meter ? [new DeviceInput("multimeter", meter)] : Array.Empty<DeviceInput>(),
        .. DeviceLine is { } line ? [new DeviceInput("device_line", line)] : Array.Empty<DeviceInput>(),
        .. FurtherInputs,
    ];

    /// <summary>The devices on the manifold beside the leading one.</summary>
    public IEnumerable<MountedDevice> Beside => Mounted.Skip(1);

    /// <summary>The input that reads a device: the one where it was mounted, else the first that reads its output; null where none does.</summary>
    public DeviceInput? InputOf(DeviceDefinition device) =>
        Mounted.FirstOrDefault(one => one.Device.Name == device.Name)?.Input
        ?? Inputs.FirstOrDefault(input => input.CanRead(device, Arrangement.Shunt));
}
