using System.Globalization;
using System.Text;
using Barostep.Daemon.Live;

namespace Barostep.Daemon.Api.Metrics;

/// <summary>Metrics in the Prometheus text format 0.0.4.</summary>
internal sealed class MetricsText
{
    public const string ContentType = "text/plain; version=0.0.4; charset=utf-8";

    private readonly StringBuilder _text = new();

    private MetricsText()
    {
    }

    /// <summary>Every name that a scrape can hold.</summary>
    public static IEnumerable<string> Names =>
        DaemonMetrics.Families.Concat(BenchMetrics.Families).Concat(RunMetrics.Families).Select(family => family.PrometheusName).Append(RunMetrics.SettleDuration);

    public static string Of(ApiContext context)
    {
        var metrics = new MetricsText();
        var sight = MetricsSight.Of(context);
        foreach (MetricFamily family in DaemonMetrics.Families.Concat(BenchMetrics.Families).Concat(RunMetrics.Families))
        {
            metrics.Head(family.PrometheusName, family.Kind == MetricKind.Counter ? "counter" : "gauge", family.Help);
            foreach (MetricSample sample in family.Samples(sight))
                metrics.Line(family.PrometheusName, sample.Value, sample.Labels);
        }

        metrics.Head(RunMetrics.SettleDuration, "histogram", RunMetrics.SettleHelp);
        context.Counts.Tell(static (_, _, _) => { }, static (_, _, _, _) => { }, metrics.Settle);
        return metrics._text.ToString();
    }

    private void Settle(string bench, RunCounts.SettleTimes times)
    {
        for (int i = 0; i < RunCounts.SettleBuckets.Length; i++)
        {
            string upTo = RunCounts.SettleBuckets[i].ToString(CultureInfo.InvariantCulture);
            Line($"{RunMetrics.SettleDuration}_bucket", times.Counts[i], ("bench", bench), ("le", upTo));
        }

        Line($"{RunMetrics.SettleDuration}_bucket", times.Count, ("bench", bench), ("le", "+Inf"));
        Line($"{RunMetrics.SettleDuration}_sum", times.Sum, ("bench", bench));
        Line($"{RunMetrics.SettleDuration}_count", times.Count, ("bench", bench));
    }

    private void Head(string name, string type, string help) =>
        _text.Append(CultureInfo.InvariantCulture, $"# HELP {name} {help}\n# TYPE {name} {type}\n");

    private void Line(string name, double value, params ReadOnlySpan<(string Name, string Value)> labels)
    {
        _text.Append(name);
        for (int i = 0; i < labels.Length; i++)
        {
            string escaped = labels[i].Value.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\"", "\\\"", StringComparison.Ordinal);
            _text.Append(i == 0 ? '{' : ',').Append(labels[i].Name).Append("=\"").Append(escaped).Append('"');
        }

        _text.Append(labels.Length > 0 ? "} " : " ").Append(value.ToString("R", CultureInfo.InvariantCulture)).Append('\n');
    }
}
