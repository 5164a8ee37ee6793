using Barostep.Daemon.Simulation;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Simulators;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Simulation;

/// <summary>Simulated worlds of the repository's own configuration and bench.</summary>
internal static class Worlds
{
    public static BenchSource Source { get; } = new(
        ShippedConfiguration.Load().Configuration,
        BenchFile.Load(Path.Combine(ShippedConfiguration.Repository, "simulators", "Barostep.Simulators", "benches", "demo.toml")));

    public static SeedResult Run(ulong seed, string faults, Seams? seams = null, Action<World>? prepare = null, Action<World>? watch = null) =>
        SeedRun.Of(Source, new WorldPlan(seed, PlannedFault.ParseList(faults)), seams, prepare, watch);

    public static SeedResult Swarm(ulong seed, Seams? seams = null) =>
        SeedRun.Of(Source, new WorldPlan(seed, FaultDraw.Swarm(seed, FaultCatalogue.All)), seams);

    public static string Told(SeedResult result) =>
        $"{result.Plan}\n" + string.Join('\n', result.Violations.Select(one => $"{one.Invariant} at {one.AtMicros / 1e6:0.000} s: {one.What}"));
}
