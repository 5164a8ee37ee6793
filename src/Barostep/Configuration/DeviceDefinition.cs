using Barostep.Evaluation.Devices;
using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>How a device under test tells its pressure.</summary>
public enum DeviceOutput
{
    /// <summary>A loop current in amperes, read by the multimeter.</summary>
    Current,

    /// <summary>A voltage in volts, read by the multimeter.</summary>
    Voltage,

    /// <summary>Pressure, told by the device itself over a line.</summary>
    Digital,

    /// <summary>Pressure, shown by a pointer that a person reads.</summary>
    Dial,

    /// <summary>A contact that changes at a pressure and back at another; read by the multimeter.</summary>
    Contact,
}

/// <summary>A device under test.</summary>
public sealed record DeviceDefinition
{
    /// <summary>The name by which commands call it: the file's name without its ending.</summary>
    public required string Name { get; init; }

    public required string Title { get; init; }

    public required string Manufacturer { get; init; }

    public required string Model { get; init; }

    public required string SerialNumber { get; init; }

    /// <summary>The plant's own tag; empty where there is none.</summary>
    public required string Tag { get; init; }

    /// <summary>Pressure at the lower end of the output.</summary>
    public required StatedPressure RangeFrom { get; init; }

    /// <summary>Pressure at the upper end of the output; same unit and reference as <see cref="RangeFrom"/>.</summary>
    public required StatedPressure RangeTo { get; init; }

    /// <summary>Highest pressure the device may see.</summary>
    public required StatedPressure Rating { get; init; }

    /// <summary>Lowest pressure the device may see.</summary>
    public required StatedPressure Floor { get; init; }

    /// <summary>Permissible error of indication, as a share of the span (0.005 is 0.5 %); of a grade, that of its widest part.</summary>
    public required double ToleranceOfSpan { get; init; }

    public required DeviceOutput Output { get; init; }

    /// <summary>Output at <see cref="RangeFrom"/>: amperes or volts; ignored where it <see cref="TellsPressure"/>.</summary>
    public required double OutputFrom { get; init; }

    /// <summary>Output at <see cref="RangeTo"/>; ignored likewise.</summary>
    public required double OutputTo { get; init; }

    /// <summary>The ideal relation between pressure and output.</summary>
    public SignalTransfer Transfer { get; init; } = new SignalTransfer.Linear();

    /// <summary>Of a pressure switch: where its contact changes and how that is read; null for every other output.</summary>
    public SwitchContact? Contact { get; init; }

    /// <summary>Class of a dial gauge, which limits its hysteresis too; null where the tolerance was stated otherwise.</summary>
    public DialGaugeClass? AccuracyClass { get; init; }

    /// <summary>Grade of a dial gauge; null likewise.</summary>
    public AsmeGrade? Grade { get; init; }

    /// <summary>How the scale of a dial gauge is divided; null for every other output.</summary>
    public DialScale? Dial { get; init; }

    /// <summary>Whether it tells pressure itself and has no electrical output.</summary>
    public bool TellsPressure => Output is DeviceOutput.Digital or DeviceOutput.Dial;

    /// <summary>Smallest step that it shows, or to which its pointer is read, Pa; 0 where not stated.</summary>
    public double ResolutionPascals { get; init; }

    /// <summary>By how much its indication may change with its temperature, share of the span per kelvin; 0 where not stated.</summary>
    public double TemperatureOfSpanPerKelvin { get; init; }

    /// <summary>How its errors are judged where no job agreed on another rule.</summary>
    public DecisionAgreement Decision { get; init; } = DecisionAgreement.PlainLimit;

    public PressureUnit Unit => RangeFrom.Unit;

    public PressureReference Reference => RangeFrom.Reference;

    /// <summary>The span in pascals.</summary>
    public double SpanPascals => (double)((RangeTo.Value * RangeTo.Unit.Pascals) - (RangeFrom.Value * RangeFrom.Unit.Pascals));

    /// <summary>The lower range end in pascals, in the device's own reference.</summary>
    public double FromPascals => (double)(RangeFrom.Value * RangeFrom.Unit.Pascals);

    /// <summary>Permissible error at a place on the scale, as a share of the span.</summary>
    /// <param name="shareOfSpan">0 at the lower and 1 at the upper range end.</param>
    public double LimitOfSpanAt(double shareOfSpan) => Grade?.ErrorOfSpan(shareOfSpan) ?? ToleranceOfSpan;
}
