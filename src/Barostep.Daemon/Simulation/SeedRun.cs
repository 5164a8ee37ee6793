using Barostep.Daemon.Simulation.Checkers;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Simulation;

/// <summary>What one world came to.</summary>
/// <param name="Plan">What it was made from.</param>
/// <param name="BenchMicros">How long it lasted, in the bench's time.</param>
/// <param name="Trace">What two runs of it must share.</param>
/// <param name="Outcomes">How its runs ended.</param>
/// <param name="Violations">The first of each invariant that did not hold.</param>
internal sealed record SeedResult(
    WorldPlan Plan,
    long BenchMicros,
    ulong Trace,
    string Outcomes,
    IReadOnlyList<Violation> Violations);

/// <summary>What one world is made from: everything that happens in it follows from this.</summary>
/// <param name="Seed">Draws its bench and its procedure, and everything that is left to chance in it.</param>
/// <param name="Faults">What goes wrong.</param>
/// <param name="OnePoint">Takes the shortest procedure instead of the drawn one.</param>
internal sealed record WorldPlan(ulong Seed, IReadOnlyList<PlannedFault> Faults, bool OnePoint = false)
{
    /// <summary>The command that repeats it.</summary>
    public override string ToString()
    {
        string faults = Faults.Count == 0 ? "none" : string.Join(",", Faults);
        return $"barostep simulate --seed {Seed} --faults {faults}{(OnePoint ? " --one-point" : string.Empty)}";
    }
}

/// <summary>Runs the world of one plan.</summary>
internal static class SeedRun
{
    /// <summary>Every checker once.</summary>
    public static IReadOnlyList<Checker> AllCheckers() =>
    [
        new CeilingChecker(), new RatingChecker(), new SafeShownChecker(), new LeaseChecker(), new AfterTripChecker(),
        new ReadingChecker(), new SampleChecker(), new UpInWritingChecker(), new JournalChecker(), new HealthyRunChecker(),
        new LivenessChecker(), new RateChecker(), new BoundedChecker(), new KeepAliveChecker(), new EndChecker(), new AbsentDaemonChecker(), new ResultChecker(),
    ];

    /// <summary>Runs it.</summary>
    /// <param name="bench">What its bench is drawn from.</param>
    /// <param name="plan">What it is made from.</param>
    /// <param name="seams">What is changed between its parts; nothing but in tests.</param>
    /// <param name="prepare">Does something to the world before it begins.</param>
    /// <param name="watch">Looks at the world after its end.</param>
    public static SeedResult Of(BenchSource bench, WorldPlan plan, Seams? seams = null, Action<World>? prepare = null, Action<World>? watch = null)
    {
        WorldSetup setup = WorldSetup.Draw(bench.Workshop, bench.Demo, new Pcg32(plan.Seed, 1), plan.OnePoint);
        var world = new World(setup, plan.Seed, plan.Faults, AllCheckers(), seams ?? Seams.None);
        prepare?.Invoke(world);
        world.Run();
        watch?.Invoke(world);
        world.Release();
        return new SeedResult(plan, world.NowMicros, world.Trace.Value, string.Join(", ", world.Records.Select(record => record.Outcome)), world.Violations);
    }
}
