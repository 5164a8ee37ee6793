using System.Text.RegularExpressions;

namespace Barostep.Tests.Api;

/// <summary>Metrics and health of the served bench.</summary>
[Collection(OnServedBench.Name)]
public sealed partial class MetricsTests(ServedBench served)
{
    [Fact]
    public async Task Every_line_is_of_the_text_format_and_every_sample_belongs_to_a_family_that_is_told_before_it()
    {
        string text = await served.Client.GetStringAsync("/metrics");

        var families = new HashSet<string>();
        foreach (string line in text.TrimEnd('\n').Split('\n'))
        {
            if (line.StartsWith("# TYPE ", StringComparison.Ordinal))
                Assert.True(families.Add(line.Split(' ')[2]), $"{line} is told twice");
            if (line.StartsWith('#'))
                continue;
            Match sample = Sample().Match(line);
            Assert.True(sample.Success, line);
            Assert.Contains(Suffix().Replace(sample.Groups[1].Value, ""), families);
        }

        Assert.Contains("barostep_pressure_pascals{bench=\"demo\",role=\"reference\"} ", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Exactly_one_state_of_a_bench_is_one()
    {
        string text = await served.Client.GetStringAsync("/metrics");

        Assert.Single(text.Split('\n'), line => line.StartsWith("barostep_run_state{", StringComparison.Ordinal) && line.EndsWith(" 1", StringComparison.Ordinal));
    }

    [GeneratedRegex("^([a-z_]+)(\\{[a-z]+=\"[^\"]*\"(,[a-z]+=\"[^\"]*\")*\\})? [-+0-9.eE]+$")]
    private static partial Regex Sample();

    [GeneratedRegex("(?<=_seconds)_(bucket|sum|count)$")]
    private static partial Regex Suffix();
}
