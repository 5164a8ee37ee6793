using Barostep.Daemon.Simulation.Faults;

namespace Barostep.Daemon.Simulation;

/// <summary>Makes a violation small: the fewest faults and the shortest procedure that still show it.</summary>
/// <remarks>
/// Delta debugging (Zeller and Hildebrandt 2002, from memory): the list is cut into parts, and whatever part or complement
/// still violates the same invariant is gone on with; then the procedure, the size and the duration of what is left.
/// </remarks>
internal sealed class Shrinker(BenchSource bench, string invariant, Seams? seams = null)
{
    /// <summary>A schedule that needs more tries than this is small enough.</summary>
    private const int MostRuns = 400;

    /// <summary>Worlds run so far.</summary>
    public int Runs { get; private set; }

    /// <summary>The smallest plan found.</summary>
    public WorldPlan Shrink(WorldPlan plan)
    {
        WorldPlan least = WithFewerFaults(plan);
        least = Try(least with { OnePoint = true }) ?? least;
        for (int i = 0; i < least.Faults.Count; i++)
            least = WithShorterFault(least, i);
        return least;
    }

    private WorldPlan WithFewerFaults(WorldPlan plan)
    {
        WorldPlan least = plan;
        for (int parts = 2; least.Faults.Count > 1 && parts <= least.Faults.Count;)
        {
            if (Reduced(least, parts) is { } smaller)
            {
                least = smaller;
                parts = 2;
            }
            else
            {
                parts = parts == least.Faults.Count ? parts + 1 : Math.Min(2 * parts, least.Faults.Count);
            }
        }

        return Try(least with { Faults = [] }) ?? least;
    }

    private WorldPlan? Reduced(WorldPlan plan, int parts)
    {
        int size = (plan.Faults.Count + parts - 1) / parts;
        PlannedFault[][] chunks = [.. plan.Faults.Chunk(size)];
        foreach (PlannedFault[] chunk in chunks)
        {
            if (Try(plan with { Faults = chunk }) is { } part)
                return part;
        }

        foreach (PlannedFault[] chunk in chunks)
        {
            if (Try(plan with { Faults = [.. plan.Faults.Except(chunk)] }) is { } rest)
                return rest;
        }

        return null;
    }

    private WorldPlan WithShorterFault(WorldPlan plan, int index)
    {
        PlannedFault fault = plan.Faults[index];
        WorldPlan least = plan;
        foreach (long duration in new[] { 50_000L, 300_000, 1_000_000, 3_000_000, 10_000_000 })
        {
            if (duration >= fault.DurationMicros)
                break;
            if (Try(With(plan, index, fault with { DurationMicros = duration })) is not { } shorter)
                continue;
            least = shorter;
            break;
        }

        return fault.When.State is null ? WithRounderTime(least, index) : least;
    }

    private WorldPlan WithRounderTime(WorldPlan plan, int index)
    {
        PlannedFault fault = plan.Faults[index];
        foreach (long step in new[] { 1_000_000L, 50_000, 1_000 })
        {
            FaultTime round = FaultTime.At(fault.When.AtMicros / step * step);
            if (Try(With(plan, index, fault with { When = round })) is { } rounder)
                return rounder;
        }

        return plan;
    }

    private static WorldPlan With(WorldPlan plan, int index, PlannedFault fault) =>
        plan with { Faults = [.. plan.Faults.Select((one, i) => i == index ? fault : one)] };

    private WorldPlan? Try(WorldPlan plan)
    {
        if (Runs >= MostRuns)
            return null;
        Runs++;
        return SeedRun.Of(bench, plan, seams).Violations.Any(violation => violation.Invariant == invariant) ? plan : null;
    }
}
