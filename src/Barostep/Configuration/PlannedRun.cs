namespace Barostep.Configuration;

/// <summary>A run that the workshop means to make: which procedure, on which device, on which bench.</summary>
/// <param name="Name">The name of its table in <c>barostep.toml</c>.</param>
/// <param name="Bench">Name of the bench.</param>
/// <param name="Device">Name of the device.</param>
/// <param name="Procedure">Name of the procedure.</param>
public sealed record PlannedRun(string Name, string Bench, string Device, string Procedure);
