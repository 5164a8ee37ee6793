using System.Globalization;
using Xunit.Abstractions;

namespace Barostep.Tests.Faults;

/// <summary>The long form: every fault again and again, each time at another instant.</summary>
/// <remarks>
/// Set BAROSTEP_FAULT_ROUNDS to the number of rounds. To repeat what a failure printed, set BAROSTEP_FAULT_SEED to its seed
/// and BAROSTEP_FAULT_CASE to its name, or to a part of it.
/// </remarks>
[Collection(FaultedPrograms.Name)]
public sealed class LongFaultTests(ITestOutputHelper output)
{
    /// <summary>From the first pressure to the last, s.</summary>
    private const double RunSeconds = 45;

    [LongForm]
    public async Task At_random_instants_no_fault_takes_the_gas_past_its_worst_case_or_leaves_it_unknown()
    {
        int seed = Number("BAROSTEP_FAULT_SEED") ?? Environment.TickCount;
        output.WriteLine($"seed {seed}");
        List<string> failures = [];
        for (int round = 0; round < Number("BAROSTEP_FAULT_ROUNDS"); round++)
        {
            foreach (FaultCase one in FaultCases.All.Where(IsWanted))
                failures.AddRange(await TryAsync(one, seed + round));
        }

        Assert.True(failures.Count == 0, $"seed {seed}:\n{string.Join('\n', failures)}");
    }

    private static bool IsWanted(FaultCase one) =>
        (one != FaultCases.DiskFull || SmallDisk.WhyNot is null)
        && one.Name.Contains(Environment.GetEnvironmentVariable("BAROSTEP_FAULT_CASE") ?? string.Empty, StringComparison.Ordinal);

    public static int? Number(string variable) =>
        int.TryParse(Environment.GetEnvironmentVariable(variable), CultureInfo.InvariantCulture, out int number) ? number : null;

    private async Task<IEnumerable<string>> TryAsync(FaultCase one, int seed)
    {
        // Each fault has its own instant in each round, whichever others are left out.
        double after = new Random(unchecked(seed * 397) ^ Array.IndexOf(FaultCases.All, one)).NextDouble() * RunSeconds;
        string what = string.Create(CultureInfo.InvariantCulture, $"{one.Name}, {after:F2} s after the first pressure, seed {seed}");
        try
        {
            FaultRun run = await one.RunAsync(seed, one.HasItsInstant ? null : bench => At(bench, after));
            output.WriteLine($"{what}: highest {run.Truth.Max(moment => moment.BarGauge):F3} bar");
            return run.Violations().Select(violation => $"{what}: {violation}");
        }
        catch (Exception e) when (e is TimeoutException or RunOverException or Xunit.Sdk.XunitException)
        {
            return [$"{what}: {e.Message}"];
        }
    }

    private static async Task At(FaultBench bench, double afterSeconds)
    {
        await bench.UntilAboveAsync(0.1);
        await bench.PassAsync(afterSeconds);
    }
}

/// <summary>A test that runs for as long as it is told to, and not by itself.</summary>
[AttributeUsage(AttributeTargets.Method)]
internal sealed class LongFormAttribute : FactAttribute
{
    public LongFormAttribute() => Skip = LongFaultTests.Number("BAROSTEP_FAULT_ROUNDS") > 0
        ? null
        : "the long form: set BAROSTEP_FAULT_ROUNDS to the number of rounds";
}
