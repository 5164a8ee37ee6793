using Barostep.Configuration;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Evaluation.Corrections;

/// <summary>A correction that was applied to the readings of a run, in words.</summary>
/// <param name="Name">What was corrected.</param>
/// <param name="Text">By how much, and from what.</param>
public sealed record AppliedCorrection(string Name, string Text);

/// <summary>
/// From what the instruments of a run told to the values at the device: the standards' own corrections, the gas column
/// between their levels, the barometer, the shunt.
/// </summary>
/// <remarks>
/// The reference's certificate holds for what the reference itself tells, so its correction comes first, in its own
/// reference; then the column; then gauge to absolute or back with the atmosphere at the device. What is not known of a run
/// is not corrected.
/// </remarks>
public sealed class RunCorrections
{
    private const double ZeroCelsius = 273.15;

    // Room air where nobody read it: 20 °C and 50 %, as in the definition of the standard gauge of EN 837-1.
    private const double UsualCelsius = 20;
    private const double UsualHumidity = 0.5;

    // Room temperature along the column is known to about this, rectangular (trade practice).
    private const double TemperatureHalfWidth = 3;

    private readonly bool _deviceIsAbsolute;
    private readonly bool _referenceIsAbsolute;
    private readonly double _assumedAtmosphere;
    private readonly CorrectionCurve? _reference;
    private readonly CorrectionCurve? _meter;
    private readonly HeadColumn? _head;
    private readonly HeadGas? _gas;
    private readonly BenchShunt? _shunt;
    private readonly ShuntResistor? _resistor;

    private RunCorrections(RunRecord record)
    {
        MeasuringArrangement arrangement = record.Arrangement;
        _deviceIsAbsolute = record.Device.Reference == PressureReference.Absolute;
        _referenceIsAbsolute = (arrangement.ReferenceTells ?? record.Device.Reference) == PressureReference.Absolute;
        _assumedAtmosphere = record.AtmospherePascals;
        Celsius = Mean(record.Environment.Select(reading => reading.TemperatureCelsius)) ?? UsualCelsius;
        double humidity = Mean(record.Environment.Select(reading => reading.RelativeHumidity)) ?? UsualHumidity;
        double? told = Mean(record.Environment.Select(reading => reading.AtmospherePascals));
        BarometerWasRead = told is not null;
        double atmosphere = told ?? record.AtmospherePascals;
        _head = arrangement.Head;
        _gas = _head is null ? null : HeadGas.Find(_head.Gas);
        AirDensity = double.IsFinite(atmosphere) ? MoistAir.Density(atmosphere, Celsius, humidity) : 0;
        double gravity = _head?.Gravity ?? LocalGravity.Standard;
        Atmosphere = told is null
            ? atmosphere
            : BarometricConversion.AtmosphereAtDevice(atmosphere, AirDensity, gravity, arrangement.Barometer?.AboveDeviceMetres ?? 0);
        ReferenceStandard? reference = StandardOf(record, StandardQuantity.Pressure);
        ReferenceStandard? meter = record.Device.TellsPressure || record.Device.Contact is not null ? null : StandardOf(record, MeterReads(record));
        _reference = reference is { HasCorrection: true } ? reference.Correction : null;
        _meter = meter is { HasCorrection: true } ? meter.Correction : null;
        _shunt = record.Device.Output == DeviceOutput.Current ? arrangement.Shunt : null;
        _resistor = _shunt is null ? null : new ShuntResistor(_shunt.OhmsAt20, _shunt.PerKelvin);
        Applied = CorrectionText.Of(record, this, _reference is null ? null : reference, _meter is null ? null : meter);
    }

    /// <summary>In the order in which they are applied; empty where nothing is corrected.</summary>
    public IReadOnlyList<AppliedCorrection> Applied { get; }

    /// <summary>At the device's level, Pa absolute: by the barometer where it was read, as the bench's file states it otherwise.</summary>
    public double Atmosphere { get; }

    public bool BarometerWasRead { get; }

    /// <summary>Of the room, kg/m³ (CIPM-2007).</summary>
    public double AirDensity { get; }

    /// <summary>Of the room, °C: as read, or 20.</summary>
    public double Celsius { get; }

    /// <summary>Whether gauge values are compared with absolute ones, so that the atmosphere takes part in the result.</summary>
    public bool UsesAtmosphere => _deviceIsAbsolute != _referenceIsAbsolute;

    public static RunCorrections Of(RunRecord record) => new(record);

    /// <summary>What the electrical standard of a run measures: a voltage where the device gives one out, or over a shunt.</summary>
    public static StandardQuantity MeterReads(RunRecord record) =>
        record.Device.Output == DeviceOutput.Voltage || record.Arrangement.Shunt is not null ? StandardQuantity.Voltage : StandardQuantity.Current;

    /// <summary>The run's standard of a quantity; null where it names none.</summary>
    public static ReferenceStandard? StandardOf(RunRecord record, StandardQuantity quantity) =>
        record.Standards.FirstOrDefault(use => use.Standard.Quantity == quantity)?.Standard;

    /// <summary>The pressure at the device, Pa in the device's own reference.</summary>
    /// <param name="told">What the record holds of the reference, Pa in the device's own reference.</param>
    public double Reference(double told)
    {
        double indication = Indication(told);
        double corrected = _reference?.Corrected(indication) ?? indication;
        return FromReference(corrected + Head(corrected));
    }

    /// <summary>What the reference itself told, Pa in its own reference.</summary>
    public double Indication(double told) => UsesAtmosphere ? told + (Step() * _assumedAtmosphere) : told;

    /// <summary>What the column adds to the reference's pressure, Pa.</summary>
    /// <param name="pascals">In the reference's own reference.</param>
    public double Head(double pascals) => _head is null || _gas is null ? 0 : HeadCorrection.Pascals(
        Density(pascals), _referenceIsAbsolute ? 0 : AirDensity, _head.Gravity, _head.ReferenceAboveDeviceMetres);

    /// <summary>Standard uncertainty of the column's pressure, Pa: of its height, of gravity, of the gas's temperature.</summary>
    /// <param name="told">As in <see cref="Reference"/>.</param>
    public double HeadUncertainty(double told)
    {
        if (_head is null || _gas is null)
            return 0;
        double indication = Indication(told);
        double perMetre = HeadCorrection.Pascals(Density(indication), _referenceIsAbsolute ? 0 : AirDensity, _head.Gravity, 1);
        double column = Math.Abs(Head(indication));
        double ofHeight = perMetre * _head.HeightUncertaintyMetres;
        double ofGravity = column * _head.GravityUncertainty / _head.Gravity;
        double ofTemperature = column * TemperatureHalfWidth / Math.Sqrt(3) / (Celsius + ZeroCelsius);
        return Math.Sqrt((ofHeight * ofHeight) + (ofGravity * ofGravity) + (ofTemperature * ofTemperature));
    }

    /// <summary>The device's output in A or V; in Pa for a digital device.</summary>
    /// <param name="told">What the record holds of it. A current over a shunt stands there as the voltage over its nominal ohms.</param>
    public double Output(double told)
    {
        if (_resistor is null)
            return _meter?.Corrected(told) ?? told;
        double volts = Volts(told);
        return _resistor.Amperes(_meter?.Corrected(volts) ?? volts, Celsius);
    }

    /// <summary>What the multimeter read: V over a shunt, A or V otherwise.</summary>
    public double Volts(double told) => _shunt is null ? told : told * _shunt.OhmsAt20;

    // −1 where the atmosphere must be taken off the device's value for the reference's, 1 where it must be put on it.
    private int Step() => (_referenceIsAbsolute ? 1 : 0) - (_deviceIsAbsolute ? 1 : 0);

    // Readings taken elsewhere may have no atmosphere, and most need none.
    private double FromReference(double pascals) => UsesAtmosphere ? pascals - (Step() * Atmosphere) : pascals;

    private double Density(double pascals) => _gas!.Density(_referenceIsAbsolute ? pascals : pascals + Atmosphere, Celsius + ZeroCelsius);

    private static double? Mean(IEnumerable<double?> values)
    {
        double[] known = [.. values.OfType<double>()];
        return known.Length == 0 ? null : Statistics.Mean(known);
    }
}
