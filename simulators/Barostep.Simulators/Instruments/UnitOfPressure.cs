namespace Barostep.Simulators.Instruments;

/// <summary>A unit in which an instrument tells pressure, with its word in each dialect.</summary>
/// <param name="Name">Word in bench files and fault lines.</param>
/// <param name="Pascals">Its size.</param>
/// <param name="Suffix">Word in the text dialect; the pascals as IEEE 488.2-1992 table 7-1 spells them.</param>
/// <param name="Letter">Letter in the fixed-width dialect.</param>
/// <param name="Decimals">Digits after the point in the fixed-width dialect.</param>
public sealed record UnitOfPressure(string Name, double Pascals, string Suffix, char Letter, int Decimals)
{
    public static readonly UnitOfPressure Bar = new("bar", 1e5, "BAR", 'B', 5);
    public static readonly UnitOfPressure Millibar = new("mbar", 100, "MBAR", 'H', 2);
    public static readonly UnitOfPressure Pascal = new("Pa", 1, "PAL", 'A', 0);
    public static readonly UnitOfPressure Kilopascal = new("kPa", 1e3, "KPAL", 'K', 3);
    public static readonly UnitOfPressure Megapascal = new("MPa", 1e6, "MAPAL", 'M', 6);

    /// <summary>Pound-force per square inch: 0.45359237 kg x 9.80665 m/s2 / (0.0254 m)2, all exact.</summary>
    public static readonly UnitOfPressure Psi = new("psi", 0.45359237 * 9.80665 / (0.0254 * 0.0254), "PSI", 'I', 4);

    public static IReadOnlyList<UnitOfPressure> All { get; } = [Bar, Millibar, Pascal, Kilopascal, Megapascal, Psi];

    /// <summary>Null when no unit has that name.</summary>
    public static UnitOfPressure? Named(string name) => All.FirstOrDefault(u => u.Name == name);

    /// <summary>Null when no unit has that suffix, in either case.</summary>
    public static UnitOfPressure? WithSuffix(ReadOnlySpan<char> suffix)
    {
        foreach (UnitOfPressure unit in All)
        {
            if (suffix.Equals(unit.Suffix, StringComparison.OrdinalIgnoreCase))
            {
                return unit;
            }
        }

        return null;
    }
}
