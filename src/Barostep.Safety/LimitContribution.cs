namespace Barostep.Safety;

/// <summary>One part, person or rule that limits the pressure of the bench.</summary>
/// <param name="Source">Who or what it is, as people call it: "hose 3", "device under test", "operator".</param>
/// <param name="Ceiling">Highest pressure that it stands, absolute; null where it sets none.</param>
/// <param name="Floor">Lowest pressure that it stands, absolute; null where it sets none.</param>
/// <param name="Origin">Where the number was written, such as <c>benches/a.toml:14</c>.</param>
public sealed record LimitContribution(string Source, Pressure? Ceiling, Pressure? Floor, string Origin);
