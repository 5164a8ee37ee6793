using Barostep.Safety;

namespace Barostep.Certificates.Dcc;

/// <summary>A unit as the digital SI spells it, with the exact factor to its SI unit.</summary>
/// <param name="Spelling">A backslash before each part of an SI unit; a vertical bar before any other.</param>
/// <param name="SiSpelling">Of the SI unit that stands beside it.</param>
internal sealed record DccUnit(string Spelling, string SiSpelling, decimal Factor)
{
    public const string PascalSpelling = @"\pascal";

    public static readonly DccUnit Milliampere = new(@"\milli\ampere", @"\ampere", 0.001m);
    public static readonly DccUnit Volt = new(@"\volt", @"\volt", 1m);

    public bool IsSiUnit => Spelling == SiSpelling;

    public bool IsOutsideTheSi => Spelling.StartsWith('|');

    public static DccUnit Of(PressureUnit unit) => new(Spell(unit), PascalSpelling, unit.Pascals);

    private static string Spell(PressureUnit unit) => unit.Symbol switch
    {
        "Pa" => PascalSpelling,
        "hPa" => @"\hecto\pascal",
        "kPa" => @"\kilo\pascal",
        "MPa" => @"\mega\pascal",
        _ => $"|{unit.Symbol}",
    };
}
