using Barostep.Configuration;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation;

/// <summary>What every world's bench is drawn from.</summary>
/// <param name="Workshop">The shipped configuration.</param>
/// <param name="Demo">The shipped simulated bench of the name <c>demo</c>.</param>
internal sealed record BenchSource(WorkshopConfiguration Workshop, BenchDescription Demo);
