using System.Globalization;
using Barostep.Procedures.Settling;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Benchmarks;

/// <summary>One row of the table: a rule over all benches.</summary>
/// <param name="TimeRatio">Total time, as a ratio to the oracle's.</param>
/// <param name="Percentile95">Of the magnitude of the settling bias, as a share of tolerance.</param>
/// <param name="Percentile999">99.9th percentile likewise.</param>
/// <param name="TooEarly">Share of points whose bias is beyond the bound.</param>
/// <param name="TimedOut">Share of points that were read because the wait was over.</param>
internal readonly record struct SettlingRow(string Name, double TimeRatio, double Percentile95, double Percentile999, double TooEarly, double TimedOut);

/// <summary>Compares rules for when to read, on random benches and devices with the truth at hand.</summary>
internal static class SettlingBenchmark
{
    /// <summary>Bias that may remain, as a share of tolerance.</summary>
    public const double Bound = 0.1;

    public static IReadOnlyList<SettlingRow> Rows(ulong seed, int benches)
    {
        var results = new IReadOnlyList<SettledPoint>[benches][];
        Parallel.For(0, benches, i => results[i] = Bench(seed, i));
        double oracle = results.Sum(bench => bench[0].Sum(point => point.Seconds));
        return [.. Names().Select((name, rule) => Row(name, [.. results.SelectMany(bench => bench[rule])], oracle))];
    }

    public static void Run(TextWriter output, ulong seed, int benches, string? plot)
    {
        long began = TimeProvider.System.GetTimestamp();
        IReadOnlyList<SettlingRow> rows = Rows(seed, benches);
        output.WriteLine("rule                 time/oracle   bias 95 %  bias 99.9 %   too early   timed out");
        foreach (SettlingRow row in rows)
        {
            output.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                $"{row.Name,-20} {row.TimeRatio,11:F3} {row.Percentile95,10:P2} {row.Percentile999,11:P2} {row.TooEarly,11:P3} {row.TimedOut,11:P3}"));
        }

        if (plot is not null)
            File.WriteAllText(plot, SettlingPlot.Svg(rows, Bound));
        output.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"bias as a share of tolerance, bound {Bound:P0}; seed {seed}, {benches} benches, {benches * 20} points, {TimeProvider.System.GetElapsedTime(began).TotalSeconds:F0} s"));
    }

    private static IEnumerable<string> Names() => Rules().Select(rule => rule.Name).Prepend("oracle");

    private static SettlingRule[] Rules() =>
    [
        new FixedDwell(30),
        new FixedDwell(60),
        new FixedDwell(120),
        new PlainRule(),
        new PredictedRule(new PredictedRest(Bound), SettlingSweep.ReadingSeconds, SettlingSweep.LeastDwellSeconds),
    ];

    private static IReadOnlyList<SettledPoint>[] Bench(ulong seed, int number)
    {
        var bench = SettlingBench.Draw(new Pcg32(seed, (ulong)number + 1));
        ulong noise = (seed * 1_000_003) + (ulong)number;
        return [SettlingSweep.RunOracle(bench, Bound, noise), .. Rules().Select(rule => SettlingSweep.Run(bench, rule, noise))];
    }

    private static SettlingRow Row(string name, SettledPoint[] points, double oracleSeconds)
    {
        double[] biases = [.. points.Select(point => Math.Abs(point.BiasOfTolerance)).Order()];
        return new SettlingRow(
            name,
            points.Sum(point => point.Seconds) / oracleSeconds,
            biases[(int)(0.95 * (biases.Length - 1))],
            biases[(int)(0.999 * (biases.Length - 1))],
            biases.Count(bias => bias > Bound) / (double)biases.Length,
            points.Count(point => point.TimedOut) / (double)points.Length);
    }
}
