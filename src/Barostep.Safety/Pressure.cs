using System.Globalization;

namespace Barostep.Safety;

/// <summary>Whether a value counts from vacuum or from the surrounding atmosphere.</summary>
public enum PressureReference
{
    Absolute,
    Gauge,
}

/// <summary>A pressure as someone wrote it or an instrument told it: number, unit and reference together.</summary>
/// <param name="Value">The number as written.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Reference">Absolute or gauge.</param>
public readonly record struct StatedPressure(decimal Value, PressureUnit Unit, PressureReference Reference)
{
    /// <summary>The absolute pressure, given the atmosphere that a gauge value counts from.</summary>
    /// <exception cref="OverflowException">The value is beyond about 9 TPa.</exception>
    public Pressure ToAbsolute(Pressure atmosphere)
    {
        Pressure own = Pressure.FromMilliPascals((long)decimal.Round(Value * Unit.Pascals * 1000m));
        return Reference == PressureReference.Absolute ? own : own + (atmosphere - Pressure.Vacuum);
    }

    public override string ToString() =>
        string.Create(CultureInfo.InvariantCulture, $"{Value} {Unit} {(Reference == PressureReference.Gauge ? "gauge" : "absolute")}");
}

/// <summary>An absolute pressure in whole millipascals, so that a decision made from it replays bit for bit.</summary>
/// <remarks>There is no constructor from a bare number with an implied unit: see <see cref="StatedPressure"/>.</remarks>
public readonly record struct Pressure : IComparable<Pressure>
{
    public static readonly Pressure Vacuum;

    /// <summary>The standard atmosphere, 101 325 Pa.</summary>
    public static readonly Pressure StandardAtmosphere = FromMilliPascals(101_325_000);

    private Pressure(long milliPascals) => MilliPascals = milliPascals;

    /// <summary>Absolute pressure in millipascals.</summary>
    public long MilliPascals { get; }

    /// <summary>Absolute pressure in pascals.</summary>
    public double Pascals => MilliPascals / 1000.0;

    public static Pressure FromMilliPascals(long absoluteMilliPascals) => new(absoluteMilliPascals);

    /// <summary>Rounds to the nearest millipascal.</summary>
    public static Pressure FromPascals(double absolutePascals) => new((long)Math.Round(absolutePascals * 1000.0));

    public static Pressure Min(Pressure a, Pressure b) => a <= b ? a : b;

    public static Pressure Max(Pressure a, Pressure b) => a >= b ? a : b;

    public static PressureDifference operator -(Pressure a, Pressure b) => new(a.MilliPascals - b.MilliPascals);

    public static Pressure operator +(Pressure a, PressureDifference d) => new(a.MilliPascals + d.MilliPascals);

    public static Pressure operator -(Pressure a, PressureDifference d) => new(a.MilliPascals - d.MilliPascals);

    public static bool operator <(Pressure a, Pressure b) => a.MilliPascals < b.MilliPascals;

    public static bool operator >(Pressure a, Pressure b) => a.MilliPascals > b.MilliPascals;

    public static bool operator <=(Pressure a, Pressure b) => a.MilliPascals <= b.MilliPascals;

    public static bool operator >=(Pressure a, Pressure b) => a.MilliPascals >= b.MilliPascals;

    public int CompareTo(Pressure other) => MilliPascals.CompareTo(other.MilliPascals);

    /// <summary>The value in a unit, counted from the atmosphere where the reference is gauge.</summary>
    public double In(PressureUnit unit, PressureReference reference, Pressure atmosphere) =>
        (reference == PressureReference.Gauge ? (this - atmosphere).Pascals : Pascals) / unit.PascalsAsDouble;

    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Pascals:0.###} Pa absolute");
}

/// <summary>A difference of two pressures in whole millipascals: a band, a margin, a tolerance.</summary>
/// <param name="MilliPascals">The difference in millipascals.</param>
public readonly record struct PressureDifference(long MilliPascals) : IComparable<PressureDifference>
{
    public double Pascals => MilliPascals / 1000.0;

    public static PressureDifference FromPascals(double pascals) => new((long)Math.Round(pascals * 1000.0));

    public static bool operator <(PressureDifference a, PressureDifference b) => a.MilliPascals < b.MilliPascals;

    public static bool operator >(PressureDifference a, PressureDifference b) => a.MilliPascals > b.MilliPascals;

    public static bool operator <=(PressureDifference a, PressureDifference b) => a.MilliPascals <= b.MilliPascals;

    public static bool operator >=(PressureDifference a, PressureDifference b) => a.MilliPascals >= b.MilliPascals;

    public int CompareTo(PressureDifference other) => MilliPascals.CompareTo(other.MilliPascals);

    public PressureDifference Magnitude() => new(Math.Abs(MilliPascals));

    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Pascals:0.###} Pa");
}
