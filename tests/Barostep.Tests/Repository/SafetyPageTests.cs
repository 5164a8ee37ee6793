using System.Text.RegularExpressions;
using Barostep.Safety;

namespace Barostep.Tests.Repository;

public sealed partial class SafetyPageTests
{
    private static readonly string Page = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "safety.md"));

    [Fact]
    public void The_page_holds_the_table_of_causes() => HoldsBetween("causes", CausePolicy.ToMarkdown());

    [Fact]
    public void The_page_holds_the_map_of_the_requirements() => HoldsBetween("requirements", SafetyRequirements.ToMarkdown());

    [Fact]
    public void Every_requirement_has_a_test_that_names_it_and_code_that_enforces_it()
    {
        ILookup<int, string> tests = SafetyRequirements.TestsByNumber();

        Assert.Equal(Enumerable.Range(1, 50), SafetyRequirements.All.Select(one => one.Number));
        Assert.All(SafetyRequirements.All, one => Assert.True(tests.Contains(one.Number) && one.Enforced.Length > 0, $"SR-{one.Number:00} has not both"));
        Assert.All(tests, group => Assert.InRange(group.Key, 1, 50));
    }

    [Fact]
    public void A_decision_names_the_requirements_that_it_answers()
    {
        Assert.All(SafetyRequirements.All.Where(one => one.Decision.Length > 0), one =>
        {
            string file = Assert.Single(Directory.GetFiles(Path.Combine(RepositoryPaths.Root, "docs", "decisions"), $"{one.Decision}-*.md"));
            Assert.Contains($"SR-{one.Number:00}", File.ReadAllText(file), StringComparison.Ordinal);
        });
    }

    [Fact]
    public void The_walk_starts_at_the_line_that_sets_the_ceiling()
    {
        Match place = Assert.Single(CeilingPlace().Matches(Page));
        string[] lines = File.ReadAllLines(Path.Combine(RepositoryPaths.Root, "config", "benches", "demo.toml"));

        Assert.Equal("ceiling = \"17 bar gauge\"", lines[int.Parse(place.Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture) - 1]);
    }

    [Fact]
    public void The_walk_quotes_entries_of_the_form_that_the_journal_has()
    {
        string[] quoted = [.. Quoted().Matches(Page).Select(match => match.Groups[1].Value)];
        using var chain = new JournalChain(JournalHead.Genesis);
        string real = System.Text.Encoding.ASCII.GetString(chain.Append(default, new RaisePayload(Pressure.FromMilliPascals(1_700_940_000), 40_000_000, "set point")).Span);

        string raise = Assert.Single(quoted, line => line.Contains("\"raise\"", StringComparison.Ordinal));
        string payload = real[real.IndexOf("\"d\":", StringComparison.Ordinal)..real.IndexOf(",\"p\"", StringComparison.Ordinal)];
        Assert.Contains(payload, raise, StringComparison.Ordinal);
    }

    private static void HoldsBetween(string name, string expected)
    {
        Match between = Regex.Match(Page, $"<!-- {name} -->\n(.*?)<!-- end of {name} -->", RegexOptions.Singleline);
        Assert.True(between.Success, $"docs/safety.md has no place for {name}");
        Assert.True(between.Groups[1].Value == expected, $"between the marks of {name}, docs/safety.md must hold:\n{expected}");
    }

    [GeneratedRegex("`benches/demo\\.toml:(\\d+)`")]
    private static partial Regex CeilingPlace();

    [GeneratedRegex("^    (\\{\"n\":.*)$", RegexOptions.Multiline)]
    private static partial Regex Quoted();
}
