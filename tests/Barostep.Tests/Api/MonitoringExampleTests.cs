using System.Text.Json;
using System.Text.RegularExpressions;
using Barostep.Daemon.Api.Metrics;
using Barostep.Tests.Repository;

namespace Barostep.Tests.Api;

/// <summary>Alert rules, dashboard and documentation name metrics that a scrape has, and between them all of the bench's.</summary>
public sealed partial class MonitoringExampleTests
{
    private static readonly string Folder = Path.Combine(RepositoryPaths.Root, "docs", "examples", "monitoring");

    private static readonly HashSet<string> Exposed = [.. MetricsText.Names];

    [Theory]
    [InlineData("alerts.yml", 9)]
    [InlineData("dashboard.json", 15)]
    public void Every_metric_of_an_example_is_exposed(string file, int atLeast)
    {
        string[] named = Named(File.ReadAllText(Path.Combine(Folder, file)));

        Assert.True(named.Length >= atLeast, $"{file} names only {named.Length}");
        Assert.All(named, name => Assert.Contains(name, Exposed));
    }

    [Fact]
    public void The_documentation_lists_exactly_what_is_exposed()
    {
        string page = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "http-api.md"));
        string table = page[page.IndexOf("## Metrics", StringComparison.Ordinal)..];

        Assert.Equal(Exposed.Order(StringComparer.Ordinal), Named(table[..table.IndexOf("Counters count", StringComparison.Ordinal)]).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Every_name_has_a_base_unit_and_counts_say_so()
    {
        MetricFamily[] all = [.. DaemonMetrics.Families, .. BenchMetrics.Families, .. RunMetrics.Families];

        Assert.Equal(all.Length, all.Select(family => family.PrometheusName).Distinct().Count());
        Assert.All(all, family =>
        {
            Assert.Matches("^[a-z_]+$", family.PrometheusName);
            Assert.Equal(family.Kind == MetricKind.Counter, family.PrometheusName.EndsWith("_total", StringComparison.Ordinal));
            Assert.True(family.Unit is "Pa" or "A" or "s" or "By" || family.Unit.StartsWith('{'), $"{family.Name}: {family.Unit} is no base unit");
        });
    }

    [Fact]
    public void Every_panel_of_the_dashboard_asks_something()
    {
        using JsonDocument dashboard = JsonDocument.Parse(File.ReadAllBytes(Path.Combine(Folder, "dashboard.json")));

        Assert.All(dashboard.RootElement.GetProperty("panels").EnumerateArray(), panel =>
            Assert.Contains(panel.GetProperty("targets").EnumerateArray(), target => target.GetProperty("expr").GetString()!.Length > 0));
    }

    private static string[] Named(string text) =>
        [.. Name().Matches(text).Select(match => match.Value).Select(name => Series().Replace(name, string.Empty)).Distinct()];

    [GeneratedRegex("(?<![/\\w-])(barostep|process)_[a-z_]+")]
    private static partial Regex Name();

    [GeneratedRegex("(?<=_seconds)_(bucket|sum|count)$")]
    private static partial Regex Series();
}
