using System.Globalization;
using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Daemon.Benchmarks;

/// <summary>Holds the predicted overshoot against the true pressure of random simulated benches.</summary>
public static class OvershootBenchmark
{
    /// <summary>Every outcome of so many benches, half of them for each path; the same seed gives the same ones.</summary>
    public static IReadOnlyList<OvershootOutcome> Outcomes(WorkshopConfiguration workshop, int seed, int benches)
    {
        List<OvershootOutcome> outcomes = [];
        for (int i = 0; i < benches; i++)
        {
            var random = new Random(HashCode(seed, i));
            outcomes.Add(OvershootTrial.Run(RandomBench.Draw(random, workshop), i % 2 == 0 ? TripPath.Level : TripPath.Stale, random));
        }

        return outcomes;
    }

    public static void Run(TextWriter output, WorkshopConfiguration workshop, int seed, int benches)
    {
        long began = TimeProvider.System.GetTimestamp();
        IReadOnlyList<OvershootOutcome> outcomes = Outcomes(workshop, seed, benches);
        double seconds = TimeProvider.System.GetElapsedTime(began).TotalSeconds;
        foreach (TripPath path in new[] { TripPath.Level, TripPath.Stale })
            Write(output, path, [.. outcomes.Where(outcome => outcome.Path == path)]);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"seed {seed}, {benches} benches in {seconds:F1} s"));
    }

    private static void Write(TextWriter output, TripPath path, IReadOnlyList<OvershootOutcome> outcomes)
    {
        double[] shares = [.. outcomes.Where(outcome => outcome.Reached).Select(outcome => outcome.Share).Order()];
        double[] margins = [.. outcomes.Where(outcome => outcome.Reached).Select(outcome => outcome.WorstPascals - outcome.PeakPascals).Order()];
        int above = outcomes.Count(outcome => outcome.PeakPascals > outcome.WorstPascals);
        string causes = string.Join(", ", outcomes.CountBy(outcome => outcome.Cause).OrderByDescending(one => one.Value).Select(one => $"{one.Key} {one.Value}"));
        output.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"{path}: {outcomes.Count} benches, {shares.Length} passed the ceiling, {above} above the prediction"));
        if (shares.Length > 0)
        {
            output.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                $"  rise as a share of the predicted rise: median {Median(shares):F3}, least {shares[0]:F3}, most {shares[^1]:F3}; margin: median {Median(margins) / 1e5:F3} bar, least {margins[0] / 1e5:F4} bar"));
        }

        output.WriteLine($"  first causes: {causes}");
    }

    private static double Median(double[] sorted) => sorted[sorted.Length / 2];

    // Neighbouring seeds must not give related benches, and the runtime's own hash differs from start to start.
    private static int HashCode(int seed, int number) => unchecked((int)(((uint)seed * 2_654_435_761u) ^ ((uint)number * 2_246_822_519u)));
}
