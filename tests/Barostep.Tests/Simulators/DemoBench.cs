using Barostep.Simulators;

namespace Barostep.Tests.Simulators;

/// <summary>The demo bench without its dump valve, which would stay open where no guard holds it shut.</summary>
internal static class DemoBench
{
    public static BenchDescription Description => BenchFile.Load("demo") with { Dump = null };

    public static SimulatedBench Load(ulong seed) => new(Description, seed);
}
