namespace Barostep.Safety;

/// <summary>A unit of pressure, held as its exact definition in pascals; rounding happens only on display.</summary>
/// <remarks>
/// Definitions: NIST SP 811 (2008) appendix B.8 with its exact bases g_n = 9.80665 m/s², lb = 0.45359237 kg,
/// in = 0.0254 m, conventional mercury 13595.1 kg/m³ and conventional water 1000 kg/m³. A general unit library
/// would be off by 2 to 16 ppm on torr, technical atmosphere and mercury, which a good reference notices.
/// </remarks>
public sealed record PressureUnit
{
    private const decimal StandardGravity = 9.80665m;
    private const decimal Inch = 0.0254m;

    public static readonly PressureUnit Pascal = new("Pa", "Pa", 1m);
    public static readonly PressureUnit Hectopascal = new("hPa", "hPa", 100m);
    public static readonly PressureUnit Kilopascal = new("kPa", "kPa", 1000m);
    public static readonly PressureUnit Megapascal = new("MPa", "MPa", 1_000_000m);
    public static readonly PressureUnit Millibar = new("mbar", "mbar", 100m);
    public static readonly PressureUnit Bar = new("bar", "bar", 100_000m);
    public static readonly PressureUnit StandardAtmosphere = new("atm", "atm", 101_325m);
    public static readonly PressureUnit TechnicalAtmosphere = new("kgf/cm2", "kgf/cm2", StandardGravity * 10_000m);
    public static readonly PressureUnit Psi = new("psi", "[psi]", 0.45359237m * StandardGravity / (Inch * Inch));
    public static readonly PressureUnit Torr = new("Torr", "Torr", 101_325m / 760m);
    public static readonly PressureUnit MillimetreMercury = new("mmHg", "mm[Hg]", 13_595.1m * StandardGravity * 0.001m);
    public static readonly PressureUnit InchMercury = new("inHg", "[in_i'Hg]", 13_595.1m * StandardGravity * Inch);
    public static readonly PressureUnit MillimetreWater = new("mmH2O", "mm[H2O]", StandardGravity);
    public static readonly PressureUnit MetreWater = new("mH2O", "m[H2O]", 1000m * StandardGravity);
    public static readonly PressureUnit InchWater = new("inH2O", "[in_i'H2O]", 1000m * StandardGravity * Inch);

    /// <summary>All units, in the order in which help and error messages list them.</summary>
    public static readonly IReadOnlyList<PressureUnit> All =
    [
        Pascal, Hectopascal, Kilopascal, Megapascal, Millibar, Bar, StandardAtmosphere, TechnicalAtmosphere,
        Psi, Torr, MillimetreMercury, InchMercury, MillimetreWater, MetreWater, InchWater,
    ];

    private PressureUnit(string symbol, string ucum, decimal pascals)
    {
        Symbol = symbol;
        Ucum = ucum;
        Pascals = pascals;
        PascalsAsDouble = (double)pascals;
    }

    /// <summary>The symbol as written in files and shown to people. Case matters: <c>mPa</c> is not <c>MPa</c>.</summary>
    public string Symbol { get; }

    /// <summary>The UCUM code, used as a name in exports; never as a conversion factor.</summary>
    public string Ucum { get; }

    /// <summary>Pascals in one unit, to 28 digits.</summary>
    public decimal Pascals { get; }

    /// <summary><see cref="Pascals"/> rounded once to double, for evaluation.</summary>
    public double PascalsAsDouble { get; }

    /// <summary>Finds a unit by its symbol, or null where there is none.</summary>
    public static PressureUnit? Find(string symbol)
    {
        foreach (PressureUnit unit in All)
        {
            if (string.Equals(unit.Symbol, symbol, StringComparison.Ordinal))
                return unit;
        }

        return null;
    }

    public override string ToString() => Symbol;
}
