using Barostep.Daemon.Simulation.Checkers;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Simulation;

/// <summary>What one world came to.</summary>
/// <param name="Seed">Its seed.</param>
/// <param name="Faults">Its faults.</param>
/// <param name="BenchMicros">How long it lasted, in the bench's time.</param>
/// <param name="Trace">What two runs of it must share.</param>
/// <param name="Outcomes">How its runs ended.</param>
/// <param name="Violations">The first of each invariant that did not hold.</param>
internal sealed record SeedResult(
    ulong Seed,
    IReadOnlyList<PlannedFault> Faults,
    long BenchMicros,
    ulong Trace,
    string Outcomes,
    IReadOnlyList<Violation> Violations);

/// <summary>Runs the world of one seed.</summary>
internal static class SeedRun
{
    /// <summary>Every checker once.</summary>
    public static IReadOnlyList<Checker> AllCheckers() =>
    [
        new CeilingChecker(), new RatingChecker(), new SafeShownChecker(), new LeaseChecker(), new AfterTripChecker(),
        new ReadingChecker(), new SampleChecker(), new UpInWritingChecker(), new JournalChecker(), new HealthyRunChecker(),
        new LivenessChecker(), new RateChecker(), new BoundedChecker(), new KeepAliveChecker(), new EndChecker(),
    ];

    /// <summary>Runs it.</summary>
    /// <param name="bench">What its bench is drawn from.</param>
    /// <param name="seed">Draws it, and everything that is left to chance in it.</param>
    /// <param name="faults">What goes wrong.</param>
    /// <param name="seams">What is changed between its parts; nothing but in tests.</param>
    /// <param name="prepare">Does something to the world before it begins.</param>
    /// <param name="watch">Looks at the world after its end.</param>
    public static SeedResult Of(BenchSource bench, ulong seed, IReadOnlyList<PlannedFault> faults, Seams? seams = null, Action<World>? prepare = null, Action<World>? watch = null)
    {
        WorldSetup setup = WorldSetup.Draw(bench.Workshop, bench.Demo, new Pcg32(seed, 1));
        var world = new World(setup, seed, faults, AllCheckers(), seams ?? Seams.None);
        prepare?.Invoke(world);
        world.Run();
        watch?.Invoke(world);
        world.Release();
        return new SeedResult(
            seed, faults, world.NowMicros, world.Trace.Value, string.Join(", ", world.Records.Select(record => record.Outcome)), world.Violations);
    }
}
