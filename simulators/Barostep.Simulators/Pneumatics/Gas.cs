namespace Barostep.Simulators.Pneumatics;

/// <summary>An ideal gas.</summary>
/// <param name="Name">Name as written in bench files.</param>
/// <param name="GasConstant">Specific gas constant R, J/(kg K).</param>
/// <param name="Kappa">Ratio of specific heats at room temperature.</param>
public sealed record Gas(string Name, double GasConstant, double Kappa)
{
    public static readonly Gas Air = new("air", 287.05, 1.400);
    public static readonly Gas Nitrogen = new("nitrogen", 296.80, 1.400);
    public static readonly Gas Helium = new("helium", 2077.1, 1.667);
    public static readonly Gas Argon = new("argon", 208.13, 1.667);
    public static readonly Gas CarbonDioxide = new("carbon dioxide", 188.92, 1.289);

    public static IReadOnlyList<Gas> All { get; } = [Air, Nitrogen, Helium, Argon, CarbonDioxide];

    /// <summary>Specific heat at constant volume, J/(kg K).</summary>
    public double Cv => GasConstant / (Kappa - 1);

    /// <summary>Specific heat at constant pressure, J/(kg K).</summary>
    public double Cp => Kappa * Cv;

    /// <summary>Downstream over upstream pressure below which an ideal nozzle is choked.</summary>
    public double CriticalPressureRatio => Math.Pow(2 / (Kappa + 1), Kappa / (Kappa - 1));

    /// <summary>Choked mass flow of an ideal nozzle per area and p1/sqrt(T1), sqrt(kg K/J).</summary>
    public double ChokedFlowFunction =>
        Math.Sqrt(Kappa / GasConstant) * Math.Pow(2 / (Kappa + 1), (Kappa + 1) / (2 * (Kappa - 1)));

    /// <summary>Null when there is no gas of that name.</summary>
    public static Gas? Find(string name) => All.FirstOrDefault(g => g.Name == name);
}
